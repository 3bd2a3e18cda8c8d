"""Objects that were measured by hand: from readings of a caliper, or from an outline."""

import bpy

from ...blender.registering import room
from ...part.test_pieces import forget_doubts, tell_doubts
from .doubts import doubt_of_fit, doubt_of_gap
from .operators import (
    FLATWRIGHT_OT_add_measured,
    FLATWRIGHT_OT_add_reading,
    FLATWRIGHT_OT_make_measured,
    FLATWRIGHT_OT_paste_readings,
    FLATWRIGHT_OT_pull_outline,
    FLATWRIGHT_OT_remove_reading,
    FLATWRIGHT_OT_turn_outline,
    draw_add_measured,
)
from .panel import FLATWRIGHT_PT_measured, FLATWRIGHT_UL_readings
from .properties import FLATWRIGHT_PG_measured, FLATWRIGHT_PG_reading

__all__ = ["doubt_of_gap", "draw_add_measured", "register", "unregister"]

_register, _unregister = room(
    (
        FLATWRIGHT_PG_reading,
        FLATWRIGHT_PG_measured,
        FLATWRIGHT_OT_add_measured,
        FLATWRIGHT_OT_paste_readings,
        FLATWRIGHT_OT_add_reading,
        FLATWRIGHT_OT_remove_reading,
        FLATWRIGHT_OT_make_measured,
        FLATWRIGHT_OT_turn_outline,
        FLATWRIGHT_OT_pull_outline,
        FLATWRIGHT_UL_readings,
        FLATWRIGHT_PT_measured,
    ),
    [
        (
            bpy.types.Object,
            "flatwright_measured",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_measured),
        )
    ],
)


def register() -> None:
    """Register the room; a fit series then asks for the doubt of the object it is to fit."""
    _register()
    tell_doubts(doubt_of_fit)


def unregister() -> None:
    """Take the room back."""
    forget_doubts()
    _unregister()
