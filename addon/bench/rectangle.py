"""A rectangle of known size as a reference: its fields and what marks it."""

from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, FloatVectorProperty

from ...geometry.bench import BenchReport
from ...geometry.bench.references import KNOWN_SIZES, ReferenceSize
from ..blender.units import length_property, to_blender, to_mm
from ..locale.words import reported
from .entry import Entry, count_property, draw_fields, height_property, length
from .marking import Marking

__all__ = ["RECTANGLE", "SHEETS", "FLATWRIGHT_OT_mark_rectangle"]

SHEETS = (
    ("TYPED", "Typed Size", "Type width and height"),
    ("CELLS", "Grid Squares", "Whole squares of a printed grid"),
    *((key, size.name, f"{size.long_mm:g} × {size.short_mm:g} mm")
      for key, size in KNOWN_SIZES.items()),
)  # fmt: skip
TYPED_MM = 1e-3
"""Heights nearer to each other were typed as one."""
SNAP = "Move the marked corners to where the edges near them meet, to a part of a pixel"


def lies_as_high(owner: Any, context: bpy.types.Context) -> None:
    """What is thick lies as high as it is thick; what is paper, on the mat."""
    known = KNOWN_SIZES.get(owner.sheet)
    height_mm = known.thickness_mm if known is not None else 0.0
    thick = [one.thickness_mm for one in KNOWN_SIZES.values()]
    # A height that a person typed stays.
    if any(abs(to_mm(owner.reference_height) - one) < TYPED_MM for one in (0.0, *thick)):
        owner.reference_height = to_blender(height_mm)


def _draw(layout: bpy.types.UILayout, owner: Any) -> None:
    sizes = {"TYPED": ("width", "height"), "CELLS": ("columns", "rows", "pitch")}
    typed = sizes.get(owner.sheet, ())
    draw_fields(layout, owner, "sheet", *typed, "reference_height", "snap")


class FLATWRIGHT_OT_mark_rectangle(Marking, bpy.types.Operator):
    """Mark the four corners of a sheet, card or grid field and lay the photo out at true scale"""

    bl_idname = "flatwright.mark_rectangle"
    bl_label = "Mark Rectangle"
    bl_options = {"REGISTER", "UNDO"}
    reference = "RECTANGLE"
    wanted = 4
    hint = "Click on the rectangle's corners in turn; from the first to the second is its width"
    unmarked = "No rectangle was marked. Mark its four corners in the photo."
    marks_in = ("corners_px",)
    exact_by = "snap"

    corners_px: FloatVectorProperty(
        name="Corners",
        description="Four corners in turn, x and y of each in pixels of the photo",
        size=8,
        options={"SKIP_SAVE"},
    )
    sheet: EnumProperty(name="Size", items=SHEETS, options={"SKIP_SAVE"}, update=lies_as_high)
    width: length("Width", "From the first marked corner to the second")
    height: length("Height", "From the second marked corner to the third")
    columns: count_property("Columns")
    rows: count_property("Rows")
    pitch: length("Grid Pitch", "Distance between the finest full grid lines")
    reference_height: height_property()
    snap: BoolProperty(name="Snap to Edges", description=SNAP, options={"SKIP_SAVE"})

    def settings(self) -> tuple[str, ...]:
        typed = ("sheet", "width", "height", "columns", "rows", "pitch")
        return (*typed, "reference_height", "snap")

    def draw(self, context: bpy.types.Context) -> None:
        _draw(self.layout, self)

    def size(self) -> ReferenceSize:
        known = KNOWN_SIZES.get(self.sheet)
        if known is not None:
            return known.as_marked(self.marks())
        if self.sheet == "CELLS":
            return ReferenceSize.of_squares(self.columns, self.rows, to_mm(self.pitch))
        return ReferenceSize((to_mm(self.width), to_mm(self.height)))

    def found(self, report: BenchReport) -> str:
        return reported("Rectangle taken: tilt {tilt}°.", tilt=f"{report.tilt_deg:.1f}")


class RectangleFields:
    """A rectangle of known size, as every photo's bench has it."""

    sheet: EnumProperty(
        name="Size",
        description="What the corners belong to",
        items=SHEETS,
        update=lies_as_high,
    )
    width_mm: FloatProperty(default=100.0, min=0.0)
    width: length_property(
        "width_mm",
        name="Width",
        description="From the first marked corner to the second",
    )
    height_mm: FloatProperty(default=100.0, min=0.0)
    height: length_property(
        "height_mm",
        name="Height",
        description="From the second marked corner to the third",
    )
    columns: count_property("Columns")
    rows: count_property("Rows")
    snap: BoolProperty(name="Snap to Edges", description=SNAP)


RECTANGLE = Entry(
    "RECTANGLE",
    "Rectangle",
    "A sheet, a card or grid squares: mark its four corners",
    "flatwright.mark_rectangle",
    "MESH_PLANE",
    _draw,
    (FLATWRIGHT_OT_mark_rectangle,),
    RectangleFields,
)
