"""A box in one act: its boards as parts around the 3D cursor, and their joints."""

from typing import Any

import bpy
from bpy.props import EnumProperty, FloatProperty

from ...geometry.assembly import BoxRule, Part, box_boards, twins_of
from ..blender.meshes import set_pose_mm
from ..blender.names import free_name, name_of_outline
from ..blender.selecting import select_only
from ..blender.units import given_length, to_mm, typed_length
from ..outline.outline_objects import add_outline
from ..part.needs import NeedsStock
from ..part.part_objects import add_part, stock_named
from ..part.properties import active_stock
from ..state.following import paused
from ..state.work import LongWork, Stages
from .rebuilding import rebuilding, show_parts

__all__ = ["FLATWRIGHT_OT_add_box", "draw_add_box"]


class FLATWRIGHT_OT_add_box(NeedsStock, LongWork, bpy.types.Operator):
    """Add the boards of a box at the 3D cursor, joined with fingers at every edge"""

    bl_idname = "flatwright.add_box"
    bl_label = "Box"
    bl_options = {"REGISTER", "UNDO"}

    width_mm: FloatProperty(default=120.0, min=0.0, options={"HIDDEN"})
    width: typed_length(name="Width")
    depth_mm: FloatProperty(default=80.0, min=0.0, options={"HIDDEN"})
    depth: typed_length(name="Depth")
    height_mm: FloatProperty(default=60.0, min=0.0, options={"HIDDEN"})
    height: typed_length(name="Height")
    sizes: EnumProperty(
        name="Sizes",
        items=(
            ("outside", "Outside", "Sizes are those of the whole box"),
            ("inside", "Inside", "Sizes are those of the hollow"),
        ),
    )
    top: EnumProperty(
        name="Top",
        items=(
            ("closed", "Closed", "A board on top, joined like the others"),
            ("open", "Open", "No board on top"),
            ("lid", "Lid", "A board that lifts off, with a rim glued under it"),
        ),
    )

    def stages(self, context: bpy.types.Context) -> Stages:
        sizes = [given_length(self, name) for name in ("width", "depth", "height")]
        stock = active_stock(context.scene)
        x, y, z = (to_mm(c) for c in context.scene.cursor.location)
        rule = BoxRule(*sizes, self.sizes, self.top, foot_mm=(x, y, z))
        parts, joints = box_boards(rule, stock_named(context.scene, stock.name))
        kept = len(context.scene.flatwright_assembly.joints)
        things: list[bpy.types.Object] = []
        for part, first in zip(parts, twins_of(parts, joints), strict=True):
            twin = things[first] if first < len(things) else None
            things.append(_added(context, part, stock, twin))
        settings = context.scene.flatwright_assembly
        with paused():
            for wanted in joints:
                joint = settings.joints.add()
                joint.a, joint.b = things[wanted.a], things[wanted.b]
                joint.kind, joint.rule = wanted.kind, "left"
        try:
            joinery = yield rebuilding(context)
        except Exception:
            _taken_back(context, things, kept)
            raise
        show_parts(context, joinery)
        select_only(context, things[0])
        for thing in things:
            thing.select_set(True)


def _added(
    context: bpy.types.Context, part: Part, stock: Any, twin: bpy.types.Object | None
) -> bpy.types.Object:
    """One board as a part, a copy of another or with an outline, which is put out of sight."""
    if twin is None:
        outline = add_outline(context, name_of_outline(part.name), part.profile)
        thing = add_part(context, outline, stock, part.name)
        outline.hide_set(True)
    else:
        thing = twin.copy()
        thing.name = free_name(part.name)
        context.collection.objects.link(thing)
    set_pose_mm(thing, part.pose)
    return thing


def _taken_back(context: bpy.types.Context, things: list[bpy.types.Object], kept: int) -> None:
    """Remove boards that could not be joined, and their joints."""
    joints = context.scene.flatwright_assembly.joints
    with paused():
        while len(joints) > kept:
            joints.remove(len(joints) - 1)
        curves: set[Any] = {thing.data for thing in things}
        curves |= {thing.flatwright_part.outline.data for thing in things}
        for curve in curves:
            bpy.data.curves.remove(curve)


def draw_add_box(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    """Entry of Add ▸ Flatwright."""
    self.layout.separator()
    self.layout.operator("flatwright.add_box")
