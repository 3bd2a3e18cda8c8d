"""Other ways to a photo: dropped into the viewport, or by File ▸ Import."""

import bpy

from .operators import ENDINGS

__all__ = ["FLATWRIGHT_FH_photo", "draw_import"]


class FLATWRIGHT_FH_photo(bpy.types.FileHandler):
    """Pictures dropped into a 3D viewport."""

    bl_idname = "FLATWRIGHT_FH_photo"
    bl_label = "Mock-up Photo"
    bl_import_operator = "flatwright.add_photo"
    bl_file_extensions = ENDINGS.replace("*", "")

    @classmethod
    def poll_drop(cls, context: bpy.types.Context) -> bool:
        return context.area is not None and context.area.type == "VIEW_3D"


def draw_import(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    """Entry of the import menu."""
    self.layout.operator("flatwright.add_photo", text="Mock-up Photo")
