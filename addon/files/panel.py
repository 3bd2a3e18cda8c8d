"""File panel."""

import bpy

from ..panels import StagePanel

__all__ = ["FLATWRIGHT_PT_files"]


class FLATWRIGHT_PT_files(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_files"
    bl_label = "File"

    def draw(self, context: bpy.types.Context) -> None:
        self.layout.operator("flatwright.save_cut_files", icon="EXPORT")
        self.sentence(
            "Never leave a cutter running alone. Know what the sheet gives off before a laser "
            "meets it. The README's cautions say more.",
            icon="ERROR",
        )
