"""True Scale panel: the reference, what was found, and what was marked."""

from typing import Any

import bpy

from ..blender.units import show_length, show_sides
from ..panels import StagePanel
from ..photo.properties import active_photo
from ..state.graph import MISSING, Status
from .asked import draw_kinds_of_lines, draw_other_sheets
from .entries import entry_named
from .entry import draw_fields
from .own import draw_making_bench

__all__ = ["FLATWRIGHT_PT_bench", "FLATWRIGHT_PT_bench_details"]


class FLATWRIGHT_PT_bench(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_bench"
    bl_label = "True Scale"
    stage = "bench"
    manual = "bench"
    result = "bench"

    @classmethod
    def standing(cls, context: bpy.types.Context) -> Status:
        # The job has a scale once one photo has it; the tick here is of the photo shown.
        photo = active_photo(context)
        has_none = photo is not None and not photo.flatwright_bench.record
        return MISSING if has_none else super().standing(context)

    @classmethod
    def summary(cls, context: bpy.types.Context) -> str:
        photo = active_photo(context)
        if photo is None or not photo.flatwright_bench.record:
            return ""
        return f"± {photo.flatwright_bench.doubt_per_100_mm:.3f} / 100 mm"

    def draw(self, context: bpy.types.Context) -> None:
        photo = active_photo(context)
        if photo is None:
            self.sentence("Press Add Photo first.")
            draw_making_bench(self.layout)
            return
        bench = photo.flatwright_bench
        self.layout.row().prop(bench, "reference", expand=True)
        entry = entry_named(bench.reference)
        entry.draw(self.layout, bench)
        self.layout.prop(bench, "face_height")
        self.layout.operator(entry.button, icon=entry.icon)
        column = self.layout.column(align=True)
        column.operator("flatwright.add_length", icon="ADD")
        column.operator("flatwright.move_marks", icon="EMPTY_ARROWS")
        if not bench.record:
            return
        good = f"{bench.doubt_per_100_mm:.3f} mm"
        self.figures(("Accuracy on 100 mm ±", good), label_share=0.64)
        self.why_not_current(context)
        if bench.was_put_back:
            self.sentence(
                "The picture was moved or scaled by hand; it was put back where its true scale is.",
                icon="ERROR",
            )
        for warning in (*bench.contradictions.splitlines(), *bench.warnings.splitlines()):
            self.sentence(warning, icon="ERROR")
        draw_kinds_of_lines(self.layout, bench)
        draw_other_sheets(self.layout, bench)
        self._draw_references(bench)

    def _draw_references(self, bench: Any) -> None:
        """What was marked, each with how far the bench is from it."""
        if bench.grid_record and bench.found_from != "GRID":
            self._draw_reference("Grid", "", -1)
        for index, one in enumerate(bench.references):
            name = show_sides((side for side in one.size_mm if side > 0.0), short=True)
            self._draw_reference(name, show_length(one.misfit_mm, signed=True), index)

    def _draw_reference(self, name: str, misfit: str, index: int) -> None:
        split = self.layout.row(align=True).split(factor=0.55)
        split.label(text=name)
        row = split.row(align=True)
        row.label(text=misfit)
        button: Any = row.operator("flatwright.remove_reference", text="", icon="X", emboss=False)
        button.index = index


class FLATWRIGHT_PT_bench_details(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_bench_details"
    bl_label = "Details"
    bl_parent_id = "FLATWRIGHT_PT_bench"
    bl_options = {"DEFAULT_CLOSED"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return active_photo(context) is not None

    def draw(self, context: bpy.types.Context) -> None:
        bench = active_photo(context).flatwright_bench
        # The switches come first: what is told below may be longer than the window is high.
        shown = (("show_residuals", "Show Grid Errors"), ("show_marks", "Show Marks"))
        self.switches(bench if bench.record else None, shown)
        draw_fields(self.layout, bench, "model_scale")
        self.layout.operator("flatwright.join_photos", icon="SNAP_EDGE")
        squares = crossings = tilt = error = ""
        if bench.record and bench.found_from in {"", "GRID"}:
            squares = f"{bench.squares_seen[0]} × {bench.squares_seen[1]}"
            crossings = str(bench.nodes_used)
        if bench.record and bench.found_from != "LENGTH":
            tilt = "" if bench.joined_mark else f"{bench.tilt_deg:.1f}°"
            error = f"{bench.rms_px:.2f} px rms"
        self.figures(
            ("Camera Tilt", tilt),
            ("Grid Error", error),
            ("Squares Seen", squares),
            ("Crossings", crossings),
        )
        draw_making_bench(self.layout)
        for line in bench.told.splitlines():
            self.sentence(line)
