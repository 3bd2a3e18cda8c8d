"""What was saved and cut of every part, and which parts must be cut again."""

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    EnumProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

__all__ = ["FLATWRIGHT_PG_again", "FLATWRIGHT_PG_cut", "FLATWRIGHT_PG_recut"]


class FLATWRIGHT_PG_cut(bpy.types.PropertyGroup):
    """A part as its files were saved last, and as it was cut; both as text, "" for never."""

    saved: StringProperty()
    cut: StringProperty()
    is_done: BoolProperty()
    """It was cut and is still right, so it is left out where only what is to be cut again is."""


class FLATWRIGHT_PG_again(bpy.types.PropertyGroup):
    """A part that must be cut again, or that was saved and never marked as cut."""

    thing: PointerProperty(type=bpy.types.Object)
    state: EnumProperty(
        items=(
            ("AGAIN", "Again", ""),
            ("SAVED", "Saved", ""),
        )
    )
    reasons: StringProperty()
    """Why, as words of `WORDS` with commas between."""


class FLATWRIGHT_PG_recut(bpy.types.PropertyGroup):
    """What was found when it was asked for last."""

    found: CollectionProperty(type=FLATWRIGHT_PG_again)
    index: IntProperty(name="Part", min=0)
    is_asked: BoolProperty()
