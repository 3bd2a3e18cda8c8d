"""Photo panel."""

import bpy

from ..panels import StagePanel
from .properties import active_photo

__all__ = ["FLATWRIGHT_PT_photo"]


class FLATWRIGHT_PT_photo(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_photo"
    bl_label = "Photo"
    stage = "photo"
    manual = "photo"
    result = "photo"

    @classmethod
    def summary(cls, context: bpy.types.Context) -> str:
        photo = active_photo(context)
        return str(photo.flatwright_photo.file_name) if photo is not None else ""

    def draw(self, context: bpy.types.Context) -> None:
        self.layout.operator("flatwright.add_photo", icon="IMAGE_DATA")
        self.layout.operator("flatwright.add_example", icon="IMAGE_REFERENCE")
        photo = active_photo(context)
        name = size = focal = ""
        if photo is not None:
            settings = photo.flatwright_photo
            name, size = settings.file_name, f"{settings.width_px} × {settings.height_px} px"
            if settings.focal_35mm:
                focal = f"{settings.focal_35mm:.0f} mm (35 mm)"
        self.figures(("File", name), ("Size", size), ("Focal Length", focal))
