"""Handles on the axis or centre of a symmetric outline: ends that turn it, a middle that moves."""

import bpy
import numpy as np

from ...geometry.outline.symmetry import AxisHandles
from ..blender.handle import Handle, hold, place_handle
from ..blender.screen import region_points
from .axis_record import axis_handles, handle_place, kept_axis
from .overlay import is_dragging
from .properties import outline_itself

__all__ = ["FLATWRIGHT_GGT_axis", "FLATWRIGHT_GT_axis_end", "FLATWRIGHT_GT_axis_middle"]


LEAST_AXIS_PX = 60.0
"""An axis seen shorter than this has no room for three handles."""


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
        if handles is not None and _is_crowded(context, outline, handles):
            handles = None
        for gizmo, which in zip(self.gizmos, ("start", "middle", "end"), strict=True):
            missing = handles is None or (which != "middle" and not handles.has_axis)
            gizmo.hide = missing or is_dragging()
            if not gizmo.hide:
                place = handle_place(outline, getattr(handles, which))
                place_handle(gizmo, context.region_data, place)


def _is_crowded(
    context: bpy.types.Context, outline: bpy.types.Object, handles: AxisHandles
) -> bool:
    if not handles.has_axis:
        return False
    ends = np.array([handles.start, handles.end])
    seen = region_points(outline.matrix_world, ends, context.region, context.region_data)
    length = float(np.hypot(*(seen[1] - seen[0])))
    return length < LEAST_AXIS_PX * context.preferences.system.ui_scale
