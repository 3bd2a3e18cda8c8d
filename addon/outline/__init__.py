"""Outline: traced, added or imported, combined, corrected and made symmetric."""

import bpy

from ..blender.drawing import Overlay
from ..blender.registering import room
from ..state.graph import on_failure
from ..state.records import on_reading
from .adding import ADDING, FLATWRIGHT_MT_add, draw_add
from .axis import FLATWRIGHT_OT_move_axis
from .axis_record import unknown_symmetry
from .combining import FLATWRIGHT_OT_combine_outlines
from .gizmos import (
    FLATWRIGHT_GGT_axis,
    FLATWRIGHT_GT_axis_end,
    FLATWRIGHT_GT_axis_middle,
)
from .halving import FLATWRIGHT_OT_make_whole
from .importing import FLATWRIGHT_OT_import_outline, draw_import_outline
from .overlay import draw_outline
from .panel import (
    FLATWRIGHT_PT_doubts,
    FLATWRIGHT_PT_outline,
    FLATWRIGHT_PT_outline_drawn,
    FLATWRIGHT_PT_outline_shown,
    FLATWRIGHT_PT_suggestions,
    FLATWRIGHT_UL_doubts,
)
from .picking import (
    FLATWRIGHT_OT_frame_outline,
    FLATWRIGHT_OT_pick_outline,
    register_key,
    unregister_key,
)
from .properties import (
    FLATWRIGHT_PG_doubt,
    FLATWRIGHT_PG_outline,
    FLATWRIGHT_PG_trace_click,
)
from .scale import unreadable_outline
from .settling import (
    FLATWRIGHT_OT_apply_scale,
    FLATWRIGHT_OT_settle_edges,
    FLATWRIGHT_OT_show_doubt,
)
from .suggesting import (
    FLATWRIGHT_OT_accept_suggestion,
    FLATWRIGHT_OT_suggest,
    FLATWRIGHT_PG_suggestion,
    FLATWRIGHT_PG_suggestions,
    FLATWRIGHT_UL_suggestions,
)
from .suggestion_record import unknown_suggestion
from .symmetrising import FLATWRIGHT_OT_make_symmetric
from .tracing.all_parts import FLATWRIGHT_OT_trace_all
from .tracing.by_click import (
    FLATWRIGHT_OT_add_to_trace,
    FLATWRIGHT_OT_remove_from_trace,
    FLATWRIGHT_OT_trace_drawn,
    FLATWRIGHT_OT_trace_outline,
)
from .tracing.doubts import listen_for_edits, stop_listening
from .tracing.retaking import FLATWRIGHT_OT_retake

_register, _unregister = room(
    (
        FLATWRIGHT_PG_trace_click,
        FLATWRIGHT_PG_doubt,
        FLATWRIGHT_PG_outline,
        FLATWRIGHT_OT_trace_outline,
        FLATWRIGHT_OT_trace_all,
        FLATWRIGHT_OT_retake,
        FLATWRIGHT_OT_add_to_trace,
        FLATWRIGHT_OT_remove_from_trace,
        FLATWRIGHT_OT_trace_drawn,
        FLATWRIGHT_OT_make_symmetric,
        FLATWRIGHT_OT_move_axis,
        FLATWRIGHT_GT_axis_end,
        FLATWRIGHT_GT_axis_middle,
        FLATWRIGHT_GGT_axis,
        *ADDING,
        FLATWRIGHT_MT_add,
        FLATWRIGHT_OT_combine_outlines,
        FLATWRIGHT_OT_make_whole,
        FLATWRIGHT_OT_apply_scale,
        FLATWRIGHT_OT_settle_edges,
        FLATWRIGHT_OT_show_doubt,
        FLATWRIGHT_OT_pick_outline,
        FLATWRIGHT_OT_frame_outline,
        FLATWRIGHT_OT_import_outline,
        FLATWRIGHT_PG_suggestion,
        FLATWRIGHT_PG_suggestions,
        FLATWRIGHT_OT_suggest,
        FLATWRIGHT_OT_accept_suggestion,
        FLATWRIGHT_UL_suggestions,
        FLATWRIGHT_PT_outline,
        FLATWRIGHT_PT_outline_drawn,
        FLATWRIGHT_UL_doubts,
        FLATWRIGHT_PT_doubts,
        FLATWRIGHT_PT_suggestions,
        FLATWRIGHT_PT_outline_shown,
    ),
    [
        (
            bpy.types.Object,
            "flatwright_outline",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_outline),
        ),
        (
            bpy.types.Object,
            "flatwright_suggestions",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_suggestions),
        ),
    ],
)

_shown: list[Overlay] = []


def register() -> None:
    """Register the room and its entries in the Add and Import menus."""
    _register()
    on_failure("outline", unreadable_outline)
    on_reading("symmetry", unknown_symmetry)
    on_reading("suggestions", unknown_suggestion)
    bpy.types.VIEW3D_MT_add.append(draw_add)
    bpy.types.TOPBAR_MT_file_import.append(draw_import_outline)
    _shown.append(Overlay(draw_outline, lasting=True))
    listen_for_edits()
    register_key()


def unregister() -> None:
    """Take all of it back."""
    unregister_key()
    stop_listening()
    while _shown:
        _shown.pop().remove()
    bpy.types.TOPBAR_MT_file_import.remove(draw_import_outline)
    bpy.types.VIEW3D_MT_add.remove(draw_add)
    _unregister()
