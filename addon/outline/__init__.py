"""Outline: trace the mock-up and make it symmetric."""

import bpy

from ..rooms import room
from .operators import FLATWRIGHT_OT_make_symmetric, FLATWRIGHT_OT_trace_outline
from .panel import FLATWRIGHT_PT_outline
from .properties import FLATWRIGHT_PG_outline

register, unregister = room(
    (
        FLATWRIGHT_PG_outline,
        FLATWRIGHT_OT_trace_outline,
        FLATWRIGHT_OT_make_symmetric,
        FLATWRIGHT_PT_outline,
    ),
    [
        (
            bpy.types.Object,
            "flatwright_outline",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_outline),
        )
    ],
)
