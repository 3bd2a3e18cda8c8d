"""What comparing a cut part with its drawing told, kept on the outline that was traced of it."""

import bpy
from bpy.props import (
    BoolProperty,
    EnumProperty,
    FloatProperty,
    PointerProperty,
    StringProperty,
)

__all__ = ["FLATWRIGHT_PG_compared"]


class FLATWRIGHT_PG_compared(bpy.types.PropertyGroup):
    """How a cut part differs from its drawing; each value with its ± (95 %)."""

    of: EnumProperty(
        name="Compared With",
        items=(
            ("NONE", "None", ""),
            ("PART", "Part", "A part of the scene"),
            ("STRIPS", "Kerf Test", "The frame of the kerf test, its strips taken out"),
        ),
    )
    drawing: PointerProperty(type=bpy.types.Object)
    stock: StringProperty()
    marks: StringProperty()
    """What the traced outline and the drawing were then."""
    worst_mm: FloatProperty()
    rms_mm: FloatProperty()
    place_doubt_mm: FloatProperty()
    stretch_x: FloatProperty()
    stretch_x_doubt: FloatProperty()
    stretch_y: FloatProperty()
    stretch_y_doubt: FloatProperty()
    against: FloatProperty()
    against_doubt: FloatProperty()
    shear: FloatProperty()
    shear_doubt: FloatProperty()
    kerf_mm: FloatProperty()
    kerf_doubt_mm: FloatProperty()
    tells_kerf: BoolProperty()
    lies: EnumProperty(
        items=(
            ("UP", "Up", ""),
            ("DOWN", "Down", ""),
            ("EITHER", "Either", ""),
        ),
    )
    machine_before: StringProperty()
    """The correction that the part's files were saved with, as JSON; "" for none."""
    map_record: StringProperty()
    """Places of the map of deviations: x, y, direction out of the material and deviation, JSON."""
    shows_map: BoolProperty(
        name="Show Deviations",
        description="Draw how far the cut edge lies off the drawn one, enlarged",
        default=True,
    )
