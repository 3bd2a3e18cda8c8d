"""A ring around every mark of the selected photo: press on it and drag the mark."""

from typing import Any

import bpy

from ...geometry.errors import FlatwrightError
from ..blender.handle import Handle, hold, place_handle
from .handles import flat_marks, is_moving, shows_marks
from .photo_pixels import places_of_photo_px
from .reference_record import kept_references

__all__ = ["FLATWRIGHT_GGT_marks", "FLATWRIGHT_GT_mark"]


class FLATWRIGHT_GT_mark(Handle, bpy.types.Gizmo):
    bl_idname = "FLATWRIGHT_GT_mark"
    sign = "RING"


class FLATWRIGHT_GGT_marks(bpy.types.GizmoGroup):
    bl_idname = "FLATWRIGHT_GGT_marks"
    bl_label = "Marks on a Photo"
    bl_space_type = "VIEW_3D"
    bl_region_type = "WINDOW"
    bl_options = {"3D", "PERSISTENT"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return shows_marks(context.object)

    def setup(self, context: bpy.types.Context) -> None:
        self.draw_prepare(context)

    def draw_prepare(self, context: bpy.types.Context) -> None:
        photo: Any = context.object
        if not shows_marks(photo):
            return
        try:
            places = places_of_photo_px(photo, flat_marks(kept_references(photo)))
        except FlatwrightError:
            # A damaged record has no handles; tools say why when used.
            places = []
        while len(self.gizmos) < len(places):
            gizmo = self.gizmos.new(FLATWRIGHT_GT_mark.bl_idname)
            # The operator is told which mark, so nothing here points into the list of references.
            hold(gizmo, "flatwright.move_marks").mark = len(self.gizmos) - 1
        for number, gizmo in enumerate(self.gizmos):
            # Undo and Remove leave fewer marks than there were handles.
            gizmo.hide = is_moving() or number >= len(places)
            if not gizmo.hide:
                place_handle(gizmo, context.region_data, places[number])
