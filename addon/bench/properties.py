"""What is known of the bench in a photo."""

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    IntVectorProperty,
    PointerProperty,
    StringProperty,
)

from ..blender.units import length_property
from .bench_record import figures_at_thickness
from .entries import ENTRIES
from .entry import HeightFields

__all__ = ["FLATWRIGHT_PG_bench", "FLATWRIGHT_PG_reference"]


class FLATWRIGHT_PG_reference(bpy.types.PropertyGroup):
    """A reference as it was marked, and how far the bench is from it."""

    record: StringProperty(description="The marks, for the computing core")
    size_mm: FloatVectorProperty(size=2)
    misfit_mm: FloatProperty()


class FLATWRIGHT_PG_bench(bpy.types.PropertyGroup):
    """The reference people named and the bench found from it."""

    reference: EnumProperty(
        name="Reference",
        description="What in the photo has a known size",
        items=[(entry.name, entry.label, entry.description) for entry in ENTRIES],
    )
    face_height_mm: FloatProperty(
        default=5.0, min=0.0, update=lambda bench, _: figures_at_thickness(bench)
    )
    face_height: length_property(
        "face_height_mm",
        name="Mock-up Thickness",
        description="Thickness of the mock-up: how high its top face lies above the mat. "
        "A face nearer to the camera looks larger; this corrects it",
    )
    show_residuals: BoolProperty(
        name="Show Grid Errors",
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
    found_pitch_mm: FloatProperty()
    """The grid's pitch that the scale was found with; 0 if unknown."""
    straightened_height_mm: FloatProperty()
    per_mm: StringProperty()
    """What tells the scene's unit scale, when the picture was made, from another; "" if unknown."""
    picture_mark: StringProperty()
    """What tells the picture that the scale was found in from another; "" in older files."""
    joined_first: PointerProperty(type=bpy.types.Object)
    joined_second: PointerProperty(type=bpy.types.Object)
    joined_mark: StringProperty()
    """What the two photos it was joined from were then; "" for a photo that was taken."""
    shown: FloatVectorProperty(size=3)
    """Size and offset that show the picture at true scale; zeros if unknown."""
    picture: PointerProperty(type=bpy.types.Image)
    """The straightened picture; none in files of 0.1.0."""
    was_put_back: BoolProperty()
    """The picture was moved by hand and put back where the bench has it."""
    tilt_deg: FloatProperty()
    rms_px: FloatProperty()
    nodes_used: IntProperty()
    squares_seen: IntVectorProperty(size=2)
    doubt_per_100_mm: FloatProperty()
    warnings: StringProperty()
    told: StringProperty()


for _fields in (HeightFields, *(entry.fields for entry in ENTRIES)):
    FLATWRIGHT_PG_bench.__annotations__.update(_fields.__annotations__)
