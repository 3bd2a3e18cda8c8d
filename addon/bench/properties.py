"""What is known of the bench in a photo."""

from typing import Any

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    IntVectorProperty,
    StringProperty,
)

from ...geometry.bench.references import KNOWN_SIZES
from ..blender.units import length_property

__all__ = [
    "LOCK_ON",
    "REFERENCE_HEIGHT",
    "SHEETS",
    "SNAP",
    "FLATWRIGHT_PG_bench",
    "FLATWRIGHT_PG_reference",
    "count_property",
]

REFERENCES = (
    ("GRID", "Grid", "A printed grid the mock-up is lying on; the surest"),
    ("RECTANGLE", "Rectangle", "A sheet, a card or grid squares: mark its four corners"),
    ("LENGTH", "Length", "A ruler or another known length: mark both ends"),
)
SHEETS = (
    ("TYPED", "Typed Size", "Type width and height"),
    ("CELLS", "Grid Squares", "Whole squares of a printed grid"),
    *((key, size.name, f"{size.long_mm:g} × {size.short_mm:g} mm")
      for key, size in KNOWN_SIZES.items()),
)  # fmt: skip
REFERENCE_HEIGHT = (
    "How high the reference lies above the mat: a thick ruler's scale, a card on the mock-up"
)
LOCK_ON = "The length lies on a ruler: find its ticks between the marks and measure by all of them"
SNAP = "Move the marked corners to where the edges near them meet, to a part of a pixel"


def count_property(what: str) -> Any:
    """How many grid squares a marked rectangle has one way."""
    return IntProperty(
        name=what,
        description="Grid squares between the marks",
        default=10,
        min=1,
        options={"SKIP_SAVE"},
    )


class FLATWRIGHT_PG_reference(bpy.types.PropertyGroup):
    """A length or rectangle as it was marked, and how far the bench is from it."""

    record: StringProperty(description="The marks, for the computing core")
    size_mm: FloatVectorProperty(size=2)
    misfit_mm: FloatProperty()


class FLATWRIGHT_PG_bench(bpy.types.PropertyGroup):
    """The reference people named and the bench found from it."""

    reference: EnumProperty(
        name="Reference", description="What in the photo has a known size", items=REFERENCES
    )
    pitch_mm: FloatProperty(default=10.0, min=0.1)
    pitch: length_property(
        "pitch_mm", name="Grid Pitch", description="Distance between the finest full grid lines"
    )
    face_height_mm: FloatProperty(default=5.0, min=0.0)
    face_height: length_property(
        "face_height_mm",
        name="Mock-up",
        description="Thickness of the mock-up: how high its top face lies above the mat. "
        "A face nearer to the camera looks larger; this corrects it",
    )
    length_mm: FloatProperty(default=100.0, min=0.0)
    length: length_property(
        "length_mm", name="Length", description="True distance between the two marks"
    )
    sheet: EnumProperty(name="Size", description="What the corners belong to", items=SHEETS)
    width_mm: FloatProperty(default=100.0, min=0.0)
    width: length_property(
        "width_mm", name="Width", description="From the first marked corner to the second"
    )
    height_mm: FloatProperty(default=100.0, min=0.0)
    height: length_property(
        "height_mm", name="Height", description="From the second marked corner to the third"
    )
    columns: count_property("Columns")
    rows: count_property("Rows")
    reference_height_mm: FloatProperty()
    reference_height: length_property(
        "reference_height_mm", name="Lies At", description=REFERENCE_HEIGHT
    )
    lock_on: BoolProperty(name="Lock On to Ruler", description=LOCK_ON)
    snap: BoolProperty(name="Snap to Edges", description=SNAP)
    show_residuals: BoolProperty(
        name="Show Misses",
        description="Draw over the photo how far each crossing of the grid misses the fit",
    )
    show_marks: BoolProperty(
        name="Show Marks",
        description="Draw what was marked over the photo while the photo is selected",
        default=True,
    )
    references: CollectionProperty(type=FLATWRIGHT_PG_reference)
    grid_record: StringProperty(description="The bench of the grid found, to hold others against")
    contradictions: StringProperty()
    model_scale: FloatProperty(
        name="Model Scale 1:",
        description="How many times as large as the mock-up the parts are: for a mock-up built "
        "at 1:10 type 10. Outlines traced are enlarged, thickness is not",
        default=1.0,
        min=0.01,
        max=1000.0,
        soft_min=1.0,
        precision=2,
    )
    record: StringProperty(description="The bench, for the computing core")
    found_from: StringProperty(description="The reference the bench was found from")
    straightened_height_mm: FloatProperty()
    tilt_deg: FloatProperty()
    rms_px: FloatProperty()
    nodes_used: IntProperty()
    squares_seen: IntVectorProperty(size=2)
    doubt_per_100_mm: FloatProperty()
    warnings: StringProperty()
    told: StringProperty()
