"""Bench: true scale from something of known size in the photo."""

import bpy

from ..bridge.drawing import remove_overlays
from ..rooms import room
from .operators import (
    FLATWRIGHT_OT_find_grid,
    FLATWRIGHT_OT_mark_length,
    FLATWRIGHT_OT_mark_rectangle,
)
from .panel import FLATWRIGHT_PT_bench
from .properties import FLATWRIGHT_PG_bench

register, _unregister = room(
    (
        FLATWRIGHT_PG_bench,
        FLATWRIGHT_OT_find_grid,
        FLATWRIGHT_OT_mark_length,
        FLATWRIGHT_OT_mark_rectangle,
        FLATWRIGHT_PT_bench,
    ),
    [
        (
            bpy.types.Object,
            "flatwright_bench",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_bench),
        )
    ],
)


def unregister() -> None:
    """Take back the room, and what is still drawn."""
    remove_overlays()
    _unregister()
