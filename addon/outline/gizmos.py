"""Handles on the axis or centre of a symmetric outline: ends that turn it, a middle that moves."""

import bpy

from ..blender.handle import Handle, hold, place_handle
from .axis_record import axis_handles, handle_place, kept_axis
from .axis_shown import is_crowded
from .overlay import is_dragging
from .properties import outline_itself

__all__ = ["FLATWRIGHT_GGT_axis", "FLATWRIGHT_GT_axis_end", "FLATWRIGHT_GT_axis_middle"]


class FLATWRIGHT_GT_axis_end(Handle, bpy.types.Gizmo):
    bl_idname = "FLATWRIGHT_GT_axis_end"
    sign = "DIAMOND"


class FLATWRIGHT_GT_axis_middle(Handle, bpy.types.Gizmo):
    bl_idname = "FLATWRIGHT_GT_axis_middle"
    sign = "SQUARE"


class FLATWRIGHT_GGT_axis(bpy.types.GizmoGroup):
    bl_idname = "FLATWRIGHT_GGT_axis"
    bl_label = "Axis of an Outline"
    bl_space_type = "VIEW_3D"
    bl_region_type = "WINDOW"
    bl_options = {"3D", "PERSISTENT"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        outline = outline_itself(context)
        if outline is None or context.mode != "OBJECT" or not outline.visible_get():
            return False
        return outline.flatwright_outline.show_axis and kept_axis(outline) is not None

    def setup(self, context: bpy.types.Context) -> None:
        kinds = (FLATWRIGHT_GT_axis_end, FLATWRIGHT_GT_axis_middle, FLATWRIGHT_GT_axis_end)
        for which, kind in zip(("start", "middle", "end"), kinds, strict=True):
            hold(self.gizmos.new(kind.bl_idname), "flatwright.move_axis").handle = which
        self.draw_prepare(context)

    def draw_prepare(self, context: bpy.types.Context) -> None:
        outline = outline_itself(context)
        handles = axis_handles(outline) if outline is not None else None
        region, view = context.region, context.region_data
        if handles is not None and is_crowded(outline, handles, region, view):
            handles = None
        for gizmo, which in zip(self.gizmos, ("start", "middle", "end"), strict=True):
            missing = handles is None or (which != "middle" and not handles.has_axis)
            gizmo.hide = missing or is_dragging()
            if not gizmo.hide:
                place = handle_place(outline, getattr(handles, which))
                place_handle(gizmo, view, place)
