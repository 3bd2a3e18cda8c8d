"""Photo panel."""

import bpy

from ..panels import StagePanel
from .properties import active_photo

__all__ = ["FLATWRIGHT_PT_photo"]


class FLATWRIGHT_PT_photo(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_photo"
    bl_label = "Photo"
    manual = "photo"
    result = "photo"

    def draw(self, context: bpy.types.Context) -> None:
        photo = active_photo(context)
        self.layout.operator("flatwright.add_photo", icon="IMAGE_DATA")
        if photo is None:
            return
        settings = photo.flatwright_photo
        focal = (
            f"{settings.focal_35mm:.0f} mm (35 mm film)" if settings.focal_35mm else "Not Written"
        )
        self.figures(
            ("File", settings.file_name),
            ("Size", f"{settings.width_px} × {settings.height_px} px"),
            ("Focal Length", focal),
        )
