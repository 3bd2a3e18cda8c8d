"""What was measured of an object by hand, kept on it: its readings, or its outline."""

from typing import Any

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    EnumProperty,
    FloatProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

from ...blender.units import length_property
from .making import changed

__all__ = ["FLATWRIGHT_PG_measured", "FLATWRIGHT_PG_reading"]


def _length(stored: str, name: str, description: str) -> Any:
    return length_property(stored, changed, name=name, description=description)


class FLATWRIGHT_PG_reading(bpy.types.PropertyGroup):
    """How wide an object is at one height; a depth of 0 is a circle."""

    height_mm: FloatProperty()
    height: _length("height_mm", "Height", "How high over the bottom this was read")
    width_mm: FloatProperty(default=60.0, min=0.0)
    width: _length("width_mm", "Width", "Diameter, or width along the object's x axis")
    depth_mm: FloatProperty(min=0.0)
    depth: _length("depth_mm", "Depth", "Along the object's y axis; 0: the section is a circle")
    doubt_mm: FloatProperty(default=0.1, min=0.0)
    doubt: _length("doubt_mm", "Size ±", "How far off its size may be, either way")
    height_doubt_mm: FloatProperty(default=0.5, min=0.0)
    height_doubt: _length(
        "height_doubt_mm", "Height ±", "How far off the height may be, either way"
    )


class FLATWRIGHT_PG_measured(bpy.types.PropertyGroup):
    """What an object is made from; changing it makes the object anew."""

    made_from: EnumProperty(
        name="Made From",
        items=(
            ("NONE", "None", "The object was modelled or imported"),
            ("ROWS", "Readings", "Rows of height and diameter, or of width and depth"),
            ("TURNED", "Turned Outline", "Half an outline, turned about its axis"),
            ("PULLED", "Pulled Outline", "An outline, pulled to a height"),
        ),
    )
    rows: CollectionProperty(type=FLATWRIGHT_PG_reading)
    row_index: IntProperty(name="Row", min=0)
    outline: PointerProperty(name="Outline", type=bpy.types.Object)
    outline_mark: StringProperty()
    """What the outline was when the object was made of it."""
    side: EnumProperty(
        name="Side of Axis",
        description="Which side of the outline's axis is turned",
        items=(("left", "Left of Axis", ""), ("right", "Right of Axis", "")),
        default="right",
        update=changed,
    )
    height_mm: FloatProperty(default=50.0, min=0.0)
    height: _length("height_mm", "Height", "How high the outline is pulled")
    doubt_mm: FloatProperty(min=0.0)
    doubt: _length("doubt_mm", "Size ±", "How far off its size may be, either way")
    is_made: BoolProperty()
    trouble: StringProperty()
    trouble_record: StringProperty()
