"""True Scale panel: the reference, what was found, and what was marked."""

from typing import Any

import bpy

from ..blender.units import show_length, show_sides
from ..panels import StagePanel
from ..photo.properties import active_photo
from .entries import entry_named
from .entry import draw_fields

__all__ = ["FLATWRIGHT_PT_bench"]


class FLATWRIGHT_PT_bench(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_bench"
    bl_label = "Bench"
    manual = "bench"
    result = "bench"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return active_photo(context) is not None

    def draw(self, context: bpy.types.Context) -> None:
        bench = active_photo(context).flatwright_bench
        self.layout.row().prop(bench, "reference", expand=True)
        entry = entry_named(bench.reference)
        entry.draw(self.layout, bench)
        draw_fields(self.layout, bench, "face_height")
        self.layout.operator(entry.button, icon=entry.icon)
        if bench.record:
            self._draw_found(bench)
            self._draw_references(bench)
            draw_fields(self.layout, bench, "model_scale")

    def _draw_found(self, bench: Any) -> None:
        if bench.found_from in {"", "GRID"}:
            self.figures(
                ("Squares Seen", f"{bench.squares_seen[0]} × {bench.squares_seen[1]}"),
                ("Crossings Used", str(bench.nodes_used)),
            )
            self.layout.prop(bench, "show_residuals")
        if bench.found_from != "LENGTH":
            self.figures(
                ("Camera Tilt", f"{bench.tilt_deg:.1f}°"),
                ("Grid Error", f"{bench.rms_px:.2f} px rms"),
            )
        self.figures(("Accuracy on 100 mm", f"± {bench.doubt_per_100_mm:.3f} mm (95 %)"))
        for line in bench.told.splitlines():
            self.sentence(line)
        standing = self.standing(bpy.context)
        if standing.state == "stale":
            self.sentence(standing.why, icon="ERROR")
        if bench.was_put_back:
            self.sentence(
                "The picture was moved or scaled by hand; it was put back where its true scale is.",
                icon="ERROR",
            )
        for warning in (*bench.contradictions.splitlines(), *bench.warnings.splitlines()):
            self.sentence(warning, icon="ERROR")

    def _draw_references(self, bench: Any) -> None:
        """What was marked, each with how far the bench is from it."""
        if bench.grid_record and bench.found_from != "GRID":
            self._draw_reference("Grid", "", -1)
        for index, one in enumerate(bench.references):
            name = show_sides((side for side in one.size_mm if side > 0.0), short=True)
            self._draw_reference(name, show_length(one.misfit_mm, signed=True), index)
        # One below the other: side by side their words are cut off in a narrow sidebar.
        column = self.layout.column(align=True)
        column.operator("flatwright.add_length", icon="ADD")
        if bench.references:
            column.operator("flatwright.move_marks", icon="EMPTY_ARROWS")
            self.layout.prop(bench, "show_marks")

    def _draw_reference(self, name: str, misfit: str, index: int) -> None:
        split = self.layout.row(align=True).split(factor=0.55)
        split.label(text=name)
        row = split.row(align=True)
        row.label(text=misfit)
        button: Any = row.operator("flatwright.remove_reference", text="", icon="X", emboss=False)
        button.index = index
