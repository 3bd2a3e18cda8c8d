"""Bench panel."""

import bpy

from ..panels import StagePanel
from ..photo.properties import active_photo

__all__ = ["FLATWRIGHT_PT_bench"]


class FLATWRIGHT_PT_bench(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_bench"
    bl_label = "Bench"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return active_photo(context) is not None

    @classmethod
    def is_done(cls, context: bpy.types.Context) -> bool:
        return bool(active_photo(context).flatwright_bench.record)

    def draw(self, context: bpy.types.Context) -> None:
        bench = active_photo(context).flatwright_bench
        column = self.layout.column()
        column.use_property_split = True
        column.use_property_decorate = False
        column.prop(bench, "pitch")
        column.prop(bench, "face_height")
        self.layout.operator("flatwright.find_grid", icon="GRID")
        if not bench.record:
            return
        self.figures(
            ("Crossings Used", str(bench.nodes_used)),
            ("Camera Tilt", f"{bench.tilt_deg:.1f}°"),
            ("Fit", f"{bench.rms_px:.2f} px rms"),
            ("Doubt on 100 mm", f"± {bench.doubt_per_100_mm:.3f} mm (95 %)"),
        )
        if abs(bench.straightened_height_mm - bench.face_height_mm) > 1e-4:
            self.sentence("The thickness has changed. Press Find Grid again.", icon="ERROR")
        for warning in bench.warnings.splitlines():
            self.sentence(warning, icon="ERROR")
