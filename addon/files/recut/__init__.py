"""After the cut: what lies on the bench, and what must be cut again."""

import bpy

from ...blender.registering import room
from .operators import (
    FLATWRIGHT_OT_lay_out_again,
    FLATWRIGHT_OT_lay_out_everything,
    FLATWRIGHT_OT_mark_as_cut,
    FLATWRIGHT_OT_what_again,
)
from .panel import FLATWRIGHT_PT_recut, FLATWRIGHT_UL_again
from .properties import FLATWRIGHT_PG_again, FLATWRIGHT_PG_cut, FLATWRIGHT_PG_recut
from .states import keep_saved

__all__ = ["keep_saved", "register", "unregister"]

register, unregister = room(
    (
        FLATWRIGHT_PG_cut,
        FLATWRIGHT_PG_again,
        FLATWRIGHT_PG_recut,
        FLATWRIGHT_OT_mark_as_cut,
        FLATWRIGHT_OT_what_again,
        FLATWRIGHT_OT_lay_out_again,
        FLATWRIGHT_OT_lay_out_everything,
        FLATWRIGHT_UL_again,
        FLATWRIGHT_PT_recut,
    ),
    [
        (
            bpy.types.Object,
            "flatwright_cut",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_cut),
        ),
        (
            bpy.types.Scene,
            "flatwright_recut",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_recut),
        ),
    ],
)
