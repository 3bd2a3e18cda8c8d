"""Sheet: all pieces laid out on their stock, ready for the tool."""

import bpy

from ..blender.drawing import Overlay
from ..blender.registering import room
from ..state.graph import on_failure
from .jobs import register as _register_jobs
from .jobs import unregister as _unregister_jobs
from .labels_shown import draw_labels
from .offcut_operators import (
    FLATWRIGHT_OT_keep_as_sheet,
    FLATWRIGHT_OT_keep_leftovers,
    FLATWRIGHT_PG_offcut,
)
from .operators import (
    FLATWRIGHT_OT_improve_layout,
    FLATWRIGHT_OT_lay_out,
    FLATWRIGHT_OT_pin_pieces,
    FLATWRIGHT_OT_show_sheet_trouble,
)
from .panel import FLATWRIGHT_PT_holding, FLATWRIGHT_PT_offcuts, FLATWRIGHT_PT_sheet
from .properties import FLATWRIGHT_PG_layout, FLATWRIGHT_PG_sheet
from .signs import draw_signs
from .troubles import first_trouble

_register, _unregister = room(
    (
        FLATWRIGHT_PG_layout,
        FLATWRIGHT_PG_sheet,
        FLATWRIGHT_PG_offcut,
        FLATWRIGHT_OT_keep_as_sheet,
        FLATWRIGHT_OT_keep_leftovers,
        FLATWRIGHT_OT_lay_out,
        FLATWRIGHT_OT_improve_layout,
        FLATWRIGHT_OT_pin_pieces,
        FLATWRIGHT_OT_show_sheet_trouble,
        FLATWRIGHT_PT_sheet,
        FLATWRIGHT_PT_holding,
        FLATWRIGHT_PT_offcuts,
    ),
    [
        (
            bpy.types.Scene,
            "flatwright_layout",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_layout),
        ),
        (
            bpy.types.Object,
            "flatwright_sheet",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_sheet),
        ),
        (
            bpy.types.Object,
            "flatwright_offcut",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_offcut),
        ),
    ],
)


signs: list[Overlay] = []


def register() -> None:
    """Register the room, show what is wrong or pinned on the sheets, and labels on the parts."""
    _register()
    _register_jobs()
    on_failure("sheets", first_trouble)
    signs.append(Overlay(draw_signs, lasting=True))
    signs.append(Overlay(draw_labels, lasting=True))


def unregister() -> None:
    """Take back the room and what is drawn."""
    while signs:
        signs.pop().remove()
    _unregister_jobs()
    _unregister()
