"""Outline: traced, added or imported, combined, corrected and made symmetric."""

import bpy

from ..rooms import room
from .adding import ADDING, FLATWRIGHT_MT_add, draw_add
from .combining import FLATWRIGHT_OT_combine_outlines
from .operators import FLATWRIGHT_OT_make_symmetric, FLATWRIGHT_OT_trace_outline
from .panel import FLATWRIGHT_PT_outline
from .properties import FLATWRIGHT_PG_outline

_register, _unregister = room(
    (
        FLATWRIGHT_PG_outline,
        FLATWRIGHT_OT_trace_outline,
        FLATWRIGHT_OT_make_symmetric,
        *ADDING,
        FLATWRIGHT_MT_add,
        FLATWRIGHT_OT_combine_outlines,
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


def register() -> None:
    """Register the room and its entry in the Add menu."""
    _register()
    bpy.types.VIEW3D_MT_add.append(draw_add)


def unregister() -> None:
    """Take both back."""
    bpy.types.VIEW3D_MT_add.remove(draw_add)
    _unregister()
