"""What a fit series and a kerf test are made with."""

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, IntProperty, StringProperty

from ..blender.units import length_property

__all__ = ["FITS", "FLATWRIGHT_PG_fit_series", "FLATWRIGHT_PG_kerf_test"]

FEATURES = (
    ("slot", "Slot", "Open at one edge, for a sheet"),
    ("tab", "Tab", "A tongue that goes into a slot"),
    ("peg", "Peg", "A tongue with a round tip"),
    ("hole", "Hole", "A bore in a small plate"),
    ("ring bore", "Ring Bore", "A ring to slip over something round"),
    ("ring outside", "Ring Outside", "A ring to drop into something round"),
)
FITS = (
    ("press", "Press", "Held by friction alone"),
    ("sliding", "Sliding", "Goes together by hand"),
    ("loose", "Loose", "Drops in with visible play"),
)
CLASSES = tuple((name, name, "") for name in ("H7", "H8"))
SHAFTS = tuple((name, name, "") for name in ("f7", "g6", "h6", "js6", "k6", "n6", "p6"))


class FLATWRIGHT_PG_fit_series(bpy.types.PropertyGroup):
    """Feature, range and pieces of a series, and what the person says of it."""

    feature: EnumProperty(name="Feature", items=FEATURES)
    second: EnumProperty(
        name="Together With",
        description="A second feature that loosens as the first loosens",
        items=(("none", "None", ""), *FEATURES),
    )
    at_cursor: BoolProperty(
        name="Nearest to 3D Cursor",
        description="Take the feature nearest to the 3D cursor; off for the largest circle or "
        "the narrowest slot",
    )
    pieces: EnumProperty(
        name="Pieces",
        items=(
            ("coupon", "Coupons", "Small pieces with just the feature"),
            ("gauge", "Gauges", "The least stock: half rings and bars for large circles"),
            ("part", "Full Part", "The selected part each time, with its feature stepped"),
        ),
    )
    unit: EnumProperty(
        name="Lettering",
        description="What the sizes on the pieces are in",
        items=(("mm", "mm", ""), ("thou", "thou", "Thousandths of an inch")),
    )
    nominal_mm: FloatProperty(default=3.0, min=0.01)
    nominal: length_property("nominal_mm", name="Nominal", description="The size that is in doubt")
    outside_mm: FloatProperty(default=60.0, min=0.01)
    outside: length_property("outside_mm", name="Outside", description="The ring's outside")
    caliper_mm: FloatProperty(default=0.05, min=0.0)
    caliper: length_property(
        "caliper_mm",
        name="Caliper ±",
        description="How far off a size measured by hand may be, either way",
    )
    first_mm: FloatProperty(default=2.8, min=0.01)
    first: length_property("first_mm", name="From", description="Smallest size; 118thou works too")
    last_mm: FloatProperty(default=3.2, min=0.01)
    last: length_property("last_mm", name="To", description="Largest size")
    step_mm: FloatProperty(default=0.1, min=0.001)
    step: length_property("step_mm", name="Step", description="From one piece to the next")
    fit: EnumProperty(name="Fit", items=FITS, default="sliding")
    mating_mm: FloatProperty(default=0.0, min=0.0)
    mating: length_property(
        "mating_mm",
        name="Counterpart Size",
        description="Measured size of what the piece was tried on; 0 for a slot: the sheet itself",
    )
    iso_hole: EnumProperty(name="Hole", items=CLASSES)
    iso_shaft: EnumProperty(name="Shaft", items=SHAFTS, default="h6")


class FLATWRIGHT_PG_kerf_test(bpy.types.PropertyGroup):
    """The strip test and its reading."""

    strips: IntProperty(
        name="Strips", description="More strips, less doubt", default=10, min=1, max=60
    )
    gap_mm: FloatProperty(default=0.0, min=0.0)
    gap: length_property(
        "gap_mm", name="Gap", description="What is left open with all strips pushed together"
    )
    reading_mm: FloatProperty(default=0.05, min=0.0)
    reading: length_property(
        "reading_mm", name="Reading ±", description="How far off the gap may be read"
    )
    saved_stock: StringProperty()
    saved_strips: IntProperty()
    saved_pitch_mm: FloatProperty()
    """Of the piece that was saved last: its stock, its strips, and from one cut to the next."""
