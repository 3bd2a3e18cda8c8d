"""The printed grid as a reference: its fields and what finds it."""

from typing import Any

import bpy
from bpy.props import FloatProperty

from ...geometry.bench import Bench, BenchReport, bench_from_grid
from ...geometry.bench.references import Marked
from ...geometry.photo import Photo
from ...geometry.progress import Progress
from ..blender.units import length_property
from ..locale.words import reported
from .entry import Entry, draw_fields
from .scaling import Fit, Scaling

__all__ = ["GRID", "FLATWRIGHT_OT_find_grid"]


class FLATWRIGHT_OT_find_grid(Scaling, bpy.types.Operator):
    """Find the mat's printed grid in the photo and lay the photo out at true scale"""

    bl_idname = "flatwright.find_grid"
    bl_label = "Find Grid"
    bl_options = {"REGISTER", "UNDO"}
    reference = "GRID"

    def fitting(self, photo: bpy.types.Object) -> Fit:
        pitch_mm = photo.flatwright_bench.pitch_mm
        focal = photo.flatwright_photo.focal_35mm or None

        def fit(picture: Photo, progress: Progress) -> tuple[Bench, tuple[Marked, ...]]:
            found = bench_from_grid(picture.pixels, pitch_mm, focal_35mm=focal, progress=progress)
            return found, ()

        return fit

    def found(self, report: BenchReport) -> str:
        return reported(
            "Grid found: {number} crossings, tilt {tilt}°.",
            number=report.nodes_used,
            tilt=f"{report.tilt_deg:.1f}",
        )


def _draw(layout: bpy.types.UILayout, owner: Any) -> None:
    draw_fields(layout, owner, "pitch")


class GridFields:
    """How far apart the grid's lines are, as every photo's bench has it."""

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
