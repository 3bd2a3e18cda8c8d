"""Sheet: all pieces laid out on their stock, ready for the tool."""

import bpy

from ..rooms import room
from .operators import FLATWRIGHT_OT_improve_layout, FLATWRIGHT_OT_lay_out
from .panel import FLATWRIGHT_PT_sheet
from .properties import FLATWRIGHT_PG_layout, FLATWRIGHT_PG_sheet

register, unregister = room(
    (
        FLATWRIGHT_PG_layout,
        FLATWRIGHT_PG_sheet,
        FLATWRIGHT_OT_lay_out,
        FLATWRIGHT_OT_improve_layout,
        FLATWRIGHT_PT_sheet,
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
    ],
)
