"""Bench: true scale from the printed grid in the photo."""

import bpy

from ..rooms import room
from .operators import FLATWRIGHT_OT_find_grid
from .panel import FLATWRIGHT_PT_bench
from .properties import FLATWRIGHT_PG_bench

register, unregister = room(
    (FLATWRIGHT_PG_bench, FLATWRIGHT_OT_find_grid, FLATWRIGHT_PT_bench),
    [
        (
            bpy.types.Object,
            "flatwright_bench",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_bench),
        )
    ],
)
