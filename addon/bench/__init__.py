"""Bench: true scale from something of known size in the photo."""

import bpy

from ..blender.drawing import remove_overlays
from ..blender.registering import room
from ..state.records import on_reading
from .adding import FLATWRIGHT_OT_add_length, FLATWRIGHT_OT_remove_reference
from .entries import ENTRIES
from .gizmos import FLATWRIGHT_GGT_marks, FLATWRIGHT_GT_mark
from .handles import start_handles, stop_handles
from .joining import FLATWRIGHT_OT_join_photos
from .moving import FLATWRIGHT_OT_move_marks
from .own import (
    FLATWRIGHT_OT_keep_bench,
    FLATWRIGHT_OT_print_bench,
    FLATWRIGHT_OT_remove_bench,
)
from .panel import FLATWRIGHT_PT_bench, FLATWRIGHT_PT_bench_details
from .properties import FLATWRIGHT_PG_bench, FLATWRIGHT_PG_reference
from .reference_record import unknown_reference
from .residuals import start_residuals, stop_residuals
from .staying import stay, stop_staying

_register, _unregister = room(
    (
        FLATWRIGHT_PG_reference,
        FLATWRIGHT_PG_bench,
        FLATWRIGHT_OT_add_length,
        FLATWRIGHT_OT_remove_reference,
        FLATWRIGHT_OT_move_marks,
        FLATWRIGHT_OT_join_photos,
        FLATWRIGHT_OT_print_bench,
        FLATWRIGHT_OT_keep_bench,
        FLATWRIGHT_OT_remove_bench,
        *(kind for entry in ENTRIES for kind in entry.classes),
        FLATWRIGHT_GT_mark,
        FLATWRIGHT_GGT_marks,
        FLATWRIGHT_PT_bench,
        FLATWRIGHT_PT_bench_details,
    ),
    [
        (
            bpy.types.Object,
            "flatwright_bench",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_bench),
        )
    ],
)


def register() -> None:
    """Give Blender the room, and draw what its photos ask for."""
    _register()
    on_reading("reference", unknown_reference)
    start_residuals()
    start_handles()
    stay()


def unregister() -> None:
    """Take back the room, and what is still drawn."""
    stop_residuals()
    stop_handles()
    stop_staying()
    remove_overlays()
    _unregister()
