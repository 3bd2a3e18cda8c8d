"""Find true scale: from a printed grid, a marked rectangle or a marked length."""

from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, FloatVectorProperty

from ...geometry.bench import Bench, BenchReport, bench_from_grid
from ...geometry.bench.references import Marked, bench_from_marked, mark_sigma_px, settle_all
from ...geometry.bench.references import KNOWN_SIZES
from ...geometry.errors import BenchError
from ...geometry.photo import Photo
from ...geometry.progress import Progress
from ..blender.units import to_mm
from ..locale.words import reported
from .marking import Marking
from .panel import draw_length, draw_rectangle
from .properties import LOCK_ON, REFERENCE_HEIGHT, SHEETS, SNAP, count_property
from .scaling import Fit, Scaling

__all__ = [
    "FLATWRIGHT_OT_find_grid",
    "FLATWRIGHT_OT_mark_length",
    "FLATWRIGHT_OT_mark_rectangle",
    "LengthMarks",
    "fit_of",
]


def fit_of(references: list[Marked], focal_35mm: float) -> Fit:
    """Return what settles references on the photo and fits the bench to all of them."""
    focal = focal_35mm or None

    def fit(picture: Photo, progress: Progress) -> tuple[Bench, tuple[Marked, ...]]:
        settled = settle_all(picture.pixels, references, progress)
        bench = bench_from_marked(picture.size_px, settled, focal_35mm=focal)
        return bench, tuple(one.marked for one in settled)

    return fit


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


class LengthMarks(Marking):
    """Mixin: two marks on the photo and how far they are apart."""

    reference = "LENGTH"
    wanted = 2
    hint = "Click on both ends of a known length, as far apart as they go"
    bl_idname: str

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
        start = getattr(bpy.ops.flatwright, self.bl_idname.partition("_OT_")[2])
        start("INVOKE_DEFAULT", True, a_px=marks[0], b_px=marks[1], step_px=self._step_px)

    def settings(self) -> tuple[str, ...]:
        return ("length", "reference_height", "lock_on")

    def draw(self, context: bpy.types.Context) -> None:
        draw_length(self.layout, self)

    def marked(self, photo: bpy.types.Object) -> Marked:
        """Return the length as marked and typed.

        Raises
        ------
        BenchError
            If nothing was marked.
        """
        marks = self.marks()
        if len(marks) < self.wanted:
            raise BenchError("No length was marked. Mark both ends of a known length in the photo.")
        self.take_settings(photo)
        return Marked(
            "LENGTH",
            tuple(marks),
            (to_mm(self.length),),
            to_mm(self.reference_height),
            exact=self.lock_on,
            marked_px=mark_sigma_px(self.step_px),
        )

    def fitting(self, photo: bpy.types.Object) -> Fit:
        return fit_of([self.marked(photo)], photo.flatwright_photo.focal_35mm)

    def found(self, report: BenchReport) -> str:
        return reported(
            "Length taken by {number} ticks: {size} mm in a pixel."
            if report.nodes_used > 2
            else "Length taken: {size} mm in a pixel.",
            number=report.nodes_used,
            size=f"{report.mm_per_px:.3f}",
        )


class FLATWRIGHT_OT_mark_length(LengthMarks, bpy.types.Operator):
    """Mark both ends of a known length in the photo, type it and lay the photo out at scale"""

    bl_idname = "flatwright.mark_length"
    bl_label = "Mark Length"
    bl_options = {"REGISTER", "UNDO"}


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
        given = {"corners_px": flat, "step_px": self._step_px}
        bpy.ops.flatwright.mark_rectangle("INVOKE_DEFAULT", True, **given)

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
        known = KNOWN_SIZES.get(self.sheet)
        if known is not None:
            size_mm, doubt = known.as_marked(corners), known.size_sigma
        else:
            size_mm, doubt = self._typed_mm(), 0.0
        marked = Marked(
            "RECTANGLE",
            tuple(corners),
            size_mm,
            to_mm(self.reference_height),
            doubt,
            self.snap,
            mark_sigma_px(self.step_px),
        )
        return fit_of([marked], photo.flatwright_photo.focal_35mm)

    def _typed_mm(self) -> tuple[float, float]:
        if self.sheet == "CELLS":
            pitch_mm = to_mm(self.pitch)
            return (self.columns * pitch_mm, self.rows * pitch_mm)
        return (to_mm(self.width), to_mm(self.height))

    def found(self, report: BenchReport) -> str:
        return reported("Rectangle taken: tilt {tilt}°.", tilt=f"{report.tilt_deg:.1f}")
