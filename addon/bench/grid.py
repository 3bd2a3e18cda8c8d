"""The printed grid as a reference: its fields and what finds it."""

from typing import Any

import bpy
from bpy.props import FloatProperty, FloatVectorProperty, StringProperty

from ...geometry.bench import Bench, BenchReport, bench_of_lines
from ...geometry.bench.references import Marked
from ...geometry.photo import Photo
from ...geometry.progress import Progress
from ..blender.units import length_property
from ..locale.words import reported
from .asked import (
    MOST_KINDS,
    SHEETS_SIZE,
    kept_kinds,
    meant_sheet,
    padded_kinds,
    padded_sheets,
)
from .entry import Entry, draw_fields
from .own import draw_own_bench, mat_named
from .scaling import Fit, Scaling

__all__ = ["GRID", "FLATWRIGHT_OT_find_grid"]


class FLATWRIGHT_OT_find_grid(Scaling, bpy.types.Operator):
    """Find the mat's printed grid in the photo and lay the photo out at true scale"""

    bl_idname = "flatwright.find_grid"
    bl_label = "Find Grid"
    bl_options = {"REGISTER", "UNDO"}
    reference = "GRID"

    line_kind: FloatProperty(
        name="Lines",
        description="Which lines the pitch is between, where the grid has fine and bold ones: "
        "their spacing in sides of the squares found; 0 as said before",
        min=0.0,
        options={"SKIP_SAVE"},
    )

    sheet_px: FloatVectorProperty(
        name="Sheet",
        description="A place on the sheet meant, in pixels of the photo, where several printed "
        "sheets lie in it; zeros: as said before, or whichever is seen best",
        size=2,
        options={"SKIP_SAVE"},
    )

    def fitting(self, photo: bpy.types.Object) -> Fit:
        pitch_mm = photo.flatwright_bench.pitch_mm
        focal = photo.flatwright_photo.focal_35mm or None
        mat = mat_named(photo.flatwright_bench.mat)
        said = self.line_kind or photo.flatwright_bench.line_kind
        sheet = meant_sheet(self.sheet_px) or meant_sheet(photo.flatwright_bench.sheet_px)

        def fit(picture: Photo, progress: Progress) -> tuple[Bench, tuple[Marked, ...]]:
            found = bench_of_lines(picture.pixels, pitch_mm, said, focal, mat, sheet, progress)
            return found, ()

        self._said, self._sheet = said, sheet
        return fit

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        super().finish(context, result)
        settings, kinds = self._photo.flatwright_bench, result[0].report.line_levels
        settings.line_kinds = padded_kinds(kinds)
        settings.line_kind = self._said if self._said in kept_kinds(settings) else 0.0
        settings.sheet_px = self._sheet or (0.0, 0.0)
        settings.other_sheets = padded_sheets(result[0].report.other_sheets)

    def found(self, report: BenchReport) -> str:
        return reported(
            "Grid found: {number} crossings, tilt {tilt}°.",
            number=report.nodes_used,
            tilt=f"{report.tilt_deg:.1f}",
        )


def _draw(layout: bpy.types.UILayout, owner: Any) -> None:
    draw_fields(layout, owner, "pitch")
    draw_own_bench(layout, owner)


class GridFields:
    """How far apart the grid's lines are, as every photo's bench has it."""

    mat: StringProperty(
        name="My Bench",
        description="The bench on which the mock-up lies, as kept in the preferences with its true "
        "pitch in both directions; empty: the grid is as even as it is printed to be",
    )
    line_kind: FloatProperty()
    """Which lines the pitch is between, as one of those kinds; 0 where nobody has said."""
    line_kinds: FloatVectorProperty(size=MOST_KINDS)
    """Spacings of the grid's fine and bold lines, in sides of the squares found; then zeros."""
    sheet_px: FloatVectorProperty(size=2)
    """A place on the sheet that is meant, px of the photo; zeros where nobody has said."""
    other_sheets: FloatVectorProperty(size=SHEETS_SIZE)
    """x and y of a place on each of the other sheets, px of the photo; then zeros."""
    pitch_mm: FloatProperty(default=10.0, min=0.1)
    pitch: length_property(
        "pitch_mm",
        name="Grid Pitch",
        description="Distance between the finest full grid lines",
    )


GRID = Entry(
    "GRID",
    "Grid",
    "A printed grid the mock-up is lying on; the surest",
    "flatwright.find_grid",
    "GRID",
    _draw,
    (FLATWRIGHT_OT_find_grid,),
    GridFields,
)
