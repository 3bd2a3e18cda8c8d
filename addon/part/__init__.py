"""Part: the material, and outlines given its thickness."""

import bpy

from ..rooms import room
from .operators import (
    FLATWRIGHT_OT_add_stock,
    FLATWRIGHT_OT_make_part,
    FLATWRIGHT_OT_rebuild_parts,
    FLATWRIGHT_OT_remove_stock,
)
from .panel import FLATWRIGHT_PT_part, FLATWRIGHT_UL_stocks
from .properties import FLATWRIGHT_PG_part, FLATWRIGHT_PG_stock

register, unregister = room(
    (
        FLATWRIGHT_PG_stock,
        FLATWRIGHT_PG_part,
        FLATWRIGHT_OT_add_stock,
        FLATWRIGHT_OT_remove_stock,
        FLATWRIGHT_OT_make_part,
        FLATWRIGHT_OT_rebuild_parts,
        FLATWRIGHT_UL_stocks,
        FLATWRIGHT_PT_part,
    ),
    [
        (
            bpy.types.Scene,
            "flatwright_stocks",
            lambda: bpy.props.CollectionProperty(type=FLATWRIGHT_PG_stock),
        ),
        (bpy.types.Scene, "flatwright_stock_index", lambda: bpy.props.IntProperty(min=0)),
        (
            bpy.types.Object,
            "flatwright_part",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_part),
        ),
    ],
)
