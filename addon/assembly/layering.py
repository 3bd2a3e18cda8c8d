"""A part made of several sheets glued on each other, in the place of one part."""

import bpy
from bpy.props import FloatProperty, IntProperty

from ...geometry.assembly import LayerRule, layered_parts
from ...geometry.errors import AssemblyError
from ..blender.meshes import set_pose_mm
from ..blender.selecting import select_only
from ..blender.units import given_length, typed_length
from ..locale.words import reported, translated
from ..outline.outline_objects import add_outline
from ..part.part_objects import add_part, outline_of
from ..state.following import paused
from ..state.things import selected_parts
from ..state.work import LongWork, Stages
from .rebuilding import core_parts, rebuilding, refuse_linked, show_parts

__all__ = ["FLATWRIGHT_OT_layer_part"]


class FLATWRIGHT_OT_layer_part(LongWork, bpy.types.Operator):
    """Make the selected part of several sheets that are glued, held in line by dowels"""

    bl_idname = "flatwright.layer_part"
    bl_label = "Make Layers"
    bl_options = {"REGISTER", "UNDO"}

    count: IntProperty(name="Layers", description="How many sheets", default=3, min=2, max=26)
    dowel_mm: FloatProperty(default=6.0, min=0.0, options={"HIDDEN"})
    dowel: typed_length(name="Dowel Diameter", description="Zero makes no holes for dowels")
    dowels: IntProperty(name="Dowels", description="How many go through", default=2, min=1, max=20)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if len(selected_parts(context)) != 1:
            cls.poll_message_set(translated("Select one part"))
            return False
        return True

    def stages(self, context: bpy.types.Context) -> Stages:
        (thing,) = selected_parts(context)
        rule = LayerRule(self.count, given_length(self, "dowel"), self.dowels)
        made = _layered(context, thing, rule)
        try:
            joinery = yield rebuilding(context)
        except Exception:
            _taken_back(made)
            raise
        show_parts(context, joinery)
        name = thing.name
        bpy.data.objects.remove(thing)
        select_only(context, made[0])
        for layer in made:
            layer.select_set(True)
        self.report(
            {"INFO"}, reported("{number} layers of {name} made.", number=self.count, name=name)
        )


def _layered(
    context: bpy.types.Context, thing: bpy.types.Object, rule: LayerRule
) -> list[bpy.types.Object]:
    """Add the sheets of a part where it stands, cut to the fixture as it is.

    Raises
    ------
    AssemblyError
        If the part is linked or joined, or the rule finds no room.
    """
    refuse_linked([thing])
    settings = context.scene.flatwright_assembly
    if any(thing in (joint.a, joint.b) for joint in settings.joints):
        raise AssemblyError(
            "“{name}” is joined to other parts. Remove its joints, make layers and join those.",
            name=thing.name,
        )
    (part,) = core_parts(context, [thing], whole=True)
    layers = layered_parts(part, rule)
    stock = context.scene.flatwright_stocks[thing.flatwright_part.stock]
    profile, cut = layers[0].profile, thing.flatwright_fixture_cut
    outline = add_outline(context, f"{thing.name} layers", profile, frame=outline_of(thing))
    made = []
    with paused():
        for layer in layers:
            sheet = add_part(context, outline, stock, layer.name)
            set_pose_mm(sheet, layer.pose)
            for name in ("enabled", "clearance_mm", "follows_rim"):
                setattr(sheet.flatwright_fixture_cut, name, getattr(cut, name))
            made.append(sheet)
    outline.hide_set(True)
    return made


def _taken_back(made: list[bpy.types.Object]) -> None:
    """Remove sheets that could not be built, and their outline."""
    bpy.data.objects.remove(made[0].flatwright_part.outline)
    for sheet in made:
        bpy.data.objects.remove(sheet)
