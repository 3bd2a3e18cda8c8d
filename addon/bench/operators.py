"""Find true scale: from a printed grid, a marked rectangle or a marked length."""

from dataclasses import replace
from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, FloatVectorProperty

from ...geometry.bench import (
    Bench,
    BenchReport,
    bench_from_grid,
    bench_from_length,
    bench_from_rectangle,
    lock_on_ruler,
    snap_corners,
)
from ...geometry.bench.sizes import KNOWN_SIZES
from ...geometry.errors import BenchError
from ...geometry.photo import Photo
from ...geometry.progress import Progress
from ..bridge.units import to_mm
from .marking import Marking
from .panel import draw_length, draw_rectangle
from .properties import LOCK_ON, REFERENCE_HEIGHT, SHEETS, SNAP, count_property
from .scaling import Fit, Scaling

__all__ = [
    "FLATWRIGHT_OT_find_grid",
    "FLATWRIGHT_OT_mark_length",
    "FLATWRIGHT_OT_mark_rectangle",
]


def length(name: str, description: str = "") -> Any:
    """A length of one run in the scene's units; not given, the photo's bench has it."""
    return FloatProperty(
        name=name,
        description=description,
        unit="LENGTH",
        subtype="DISTANCE",
        precision=3,
        options={"SKIP_SAVE"},
    )


class FLATWRIGHT_OT_find_grid(Scaling, bpy.types.Operator):
    """Find the mat's printed grid in the photo and lay the photo out at true scale"""

    bl_idname = "flatwright.find_grid"
    bl_label = "Find Grid"
    bl_options = {"REGISTER", "UNDO"}
    reference = "GRID"

    def fitting(self, photo: bpy.types.Object) -> Fit:
        pitch_mm = photo.flatwright_bench.pitch_mm
        focal = photo.flatwright_photo.focal_35mm or None

        def fit(picture: Photo, progress: Progress) -> Bench:
            return bench_from_grid(picture.pixels, pitch_mm, focal_35mm=focal, progress=progress)

        return fit

    def found(self, report: BenchReport) -> str:
        return f"Grid found: {report.nodes_used} crossings, tilt {report.tilt_deg:.1f}°."


class FLATWRIGHT_OT_mark_length(Marking, bpy.types.Operator):
    """Mark both ends of a known length in the photo, type it and lay the photo out at scale"""

    bl_idname = "flatwright.mark_length"
    bl_label = "Mark Length"
    bl_options = {"REGISTER", "UNDO"}
    reference = "LENGTH"
    wanted = 2
    hint = "Click on both ends of a known length, as far apart as they go"

    a_px: FloatVectorProperty(
        name="First Mark", description="In pixels of the photo", size=2, options={"SKIP_SAVE"}
    )
    b_px: FloatVectorProperty(
        name="Second Mark", description="In pixels of the photo", size=2, options={"SKIP_SAVE"}
    )
    length: length("Length", "True distance between the two marks")
    reference_height: length("Lies At", REFERENCE_HEIGHT)
    lock_on: BoolProperty(name="Lock On to Ruler", description=LOCK_ON, options={"SKIP_SAVE"})

    def marks(self) -> list[tuple[float, float]]:
        given = [n for n in ("a_px", "b_px") if self.properties.is_property_set(n)]
        return [tuple(getattr(self, name)) for name in given]

    def ask(self, marks: list[tuple[float, float]]) -> None:
        bpy.ops.flatwright.mark_length("INVOKE_DEFAULT", True, a_px=marks[0], b_px=marks[1])

    def settings(self) -> tuple[str, ...]:
        return ("length", "reference_height", "lock_on")

    def draw(self, context: bpy.types.Context) -> None:
        draw_length(self.layout, self)

    def fitting(self, photo: bpy.types.Object) -> Fit:
        marks = self.marks()
        if len(marks) < self.wanted:
            raise BenchError("No length was marked. Mark both ends of a known length in the photo.")
        self.take_settings(photo)
        length_mm, height_mm = to_mm(self.length), to_mm(self.reference_height)
        focal, lock_on = photo.flatwright_photo.focal_35mm or None, self.lock_on

        def fit(picture: Photo, progress: Progress) -> Bench:
            ticks = None
            if lock_on:
                ticks = lock_on_ruler(picture.pixels, *marks, length_mm, progress=progress)
            return bench_from_length(
                picture.size_px,
                *marks,
                length_mm,
                ticks=ticks,
                focal_35mm=focal,
                reference_height_mm=height_mm,
            )

        return fit

    def found(self, report: BenchReport) -> str:
        by = f" by {report.nodes_used} ticks" if report.nodes_used > 2 else ""
        return f"Length taken{by}: {report.mm_per_px:.3f} mm in a pixel."


class FLATWRIGHT_OT_mark_rectangle(Marking, bpy.types.Operator):
    """Mark the four corners of a sheet, card or grid field and lay the photo out at true scale"""

    bl_idname = "flatwright.mark_rectangle"
    bl_label = "Mark Rectangle"
    bl_options = {"REGISTER", "UNDO"}
    reference = "RECTANGLE"
    wanted = 4
    hint = "Click on the rectangle's corners in turn; from the first to the second is its width"

    corners_px: FloatVectorProperty(
        name="Corners",
        description="Four corners in turn, x and y of each in pixels of the photo",
        size=8,
        options={"SKIP_SAVE"},
    )
    sheet: EnumProperty(name="Size", items=SHEETS, options={"SKIP_SAVE"})
    width: length("Width", "From the first marked corner to the second")
    height: length("Height", "From the second marked corner to the third")
    columns: count_property("Columns")
    rows: count_property("Rows")
    pitch: length("Grid Pitch", "Distance between the finest full grid lines")
    reference_height: length("Lies At", REFERENCE_HEIGHT)
    snap: BoolProperty(name="Snap to Edges", description=SNAP, options={"SKIP_SAVE"})

    def marks(self) -> list[tuple[float, float]]:
        if not self.properties.is_property_set("corners_px"):
            return []
        flat = tuple(self.corners_px)
        return list(zip(flat[0::2], flat[1::2], strict=True))

    def ask(self, marks: list[tuple[float, float]]) -> None:
        flat = [number for mark in marks for number in mark]
        bpy.ops.flatwright.mark_rectangle("INVOKE_DEFAULT", True, corners_px=flat)

    def settings(self) -> tuple[str, ...]:
        typed = ("sheet", "width", "height", "columns", "rows", "pitch")
        return (*typed, "reference_height", "snap")

    def draw(self, context: bpy.types.Context) -> None:
        draw_rectangle(self.layout, self)

    def fitting(self, photo: bpy.types.Object) -> Fit:
        corners = self.marks()
        if not corners:
            raise BenchError("No rectangle was marked. Mark its four corners in the photo.")
        self.take_settings(photo)
        height_mm = to_mm(self.reference_height)
        focal, snap = photo.flatwright_photo.focal_35mm or None, self.snap
        known = KNOWN_SIZES.get(self.sheet)
        if known is not None:
            size_mm, doubt = known.as_marked(corners), known.scale_doubt
        else:
            size_mm, doubt = self._typed_mm(), 0.0

        def fit(picture: Photo, progress: Progress) -> Bench:
            progress(0.1, "Looking for the edges" if snap else "Measuring the rectangle")
            at = snap_corners(picture.pixels, corners).corners_px if snap else corners
            bench = bench_from_rectangle(
                picture.size_px,
                at,
                *size_mm,
                focal_35mm=focal,
                reference_height_mm=height_mm,
            )
            return replace(bench, scale_doubt=doubt)

        return fit

    def _typed_mm(self) -> tuple[float, float]:
        if self.sheet == "CELLS":
            pitch_mm = to_mm(self.pitch)
            return (self.columns * pitch_mm, self.rows * pitch_mm)
        return (to_mm(self.width), to_mm(self.height))

    def found(self, report: BenchReport) -> str:
        return f"Rectangle taken: tilt {report.tilt_deg:.1f}°."
