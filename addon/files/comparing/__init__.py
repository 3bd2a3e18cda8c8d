"""After the cut: a part compared with its drawing, and what that teaches of kerf and machine."""

import bpy

from ...blender.drawing import Overlay
from ...blender.registering import room
from .operators import FLATWRIGHT_OT_compare_with_drawing, FLATWRIGHT_OT_keep_comparison
from .panel import FLATWRIGHT_PT_comparison
from .properties import FLATWRIGHT_PG_compared
from .shown import draw_map

__all__ = ["register", "unregister"]

_register, _unregister = room(
    (
        FLATWRIGHT_PG_compared,
        FLATWRIGHT_OT_compare_with_drawing,
        FLATWRIGHT_OT_keep_comparison,
        FLATWRIGHT_PT_comparison,
    ),
    [
        (
            bpy.types.Object,
            "flatwright_compared",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_compared),
        )
    ],
)

signs: list[Overlay] = []


def register() -> None:
    """Register the room and show its map."""
    _register()
    signs.append(Overlay(draw_map, lasting=True))


def unregister() -> None:
    """Take the room back and what is drawn."""
    while signs:
        signs.pop().remove()
    _unregister()
