"""Part: the material, and outlines given its thickness."""

import bpy

from ..blender.drawing import Overlay
from ..blender.registering import room
from ..state.records import on_reading
from .bends import FLATWRIGHT_OT_bend_between
from .kerf_test import FLATWRIGHT_OT_keep_kerf, FLATWRIGHT_OT_save_kerf_test
from .library import (
    FLATWRIGHT_OT_add_from_library,
    FLATWRIGHT_OT_remove_from_library,
    FLATWRIGHT_OT_save_to_library,
)
from .marking import FLATWRIGHT_OT_drop_lines, FLATWRIGHT_OT_keep_lines, FLATWRIGHT_PT_marks
from .marks import unknown_lines
from .operators import (
    FLATWRIGHT_OT_add_stock,
    FLATWRIGHT_OT_make_part,
    FLATWRIGHT_OT_remove_stock,
    FLATWRIGHT_OT_use_stock,
)
from .panel import FLATWRIGHT_PT_part, FLATWRIGHT_PT_stock, FLATWRIGHT_UL_stocks
from .properties import FLATWRIGHT_PG_part, FLATWRIGHT_PG_stock
from .signs import draw_paths
from .subpanels import (
    FLATWRIGHT_PT_fit_series,
    FLATWRIGHT_PT_iso_fit,
    FLATWRIGHT_PT_kerf_test,
    FLATWRIGHT_PT_library,
    FLATWRIGHT_PT_test_pieces,
    FLATWRIGHT_UL_library,
)
from .trial_properties import FLATWRIGHT_PG_fit_series, FLATWRIGHT_PG_kerf_test
from .trying import (
    FLATWRIGHT_OT_make_fit_series,
    FLATWRIGHT_OT_propose_series,
    FLATWRIGHT_OT_read_feature,
    FLATWRIGHT_OT_remove_fit_series,
    FLATWRIGHT_OT_this_one_fitted,
)

_register, _unregister = room(
    (
        FLATWRIGHT_PG_stock,
        FLATWRIGHT_PG_part,
        FLATWRIGHT_PG_fit_series,
        FLATWRIGHT_PG_kerf_test,
        FLATWRIGHT_OT_add_stock,
        FLATWRIGHT_OT_remove_stock,
        FLATWRIGHT_OT_make_part,
        FLATWRIGHT_OT_use_stock,
        FLATWRIGHT_OT_keep_lines,
        FLATWRIGHT_OT_bend_between,
        FLATWRIGHT_OT_drop_lines,
        FLATWRIGHT_OT_save_to_library,
        FLATWRIGHT_OT_add_from_library,
        FLATWRIGHT_OT_remove_from_library,
        FLATWRIGHT_OT_read_feature,
        FLATWRIGHT_OT_propose_series,
        FLATWRIGHT_OT_make_fit_series,
        FLATWRIGHT_OT_remove_fit_series,
        FLATWRIGHT_OT_this_one_fitted,
        FLATWRIGHT_OT_save_kerf_test,
        FLATWRIGHT_OT_keep_kerf,
        FLATWRIGHT_UL_stocks,
        FLATWRIGHT_UL_library,
        FLATWRIGHT_PT_part,
        FLATWRIGHT_PT_stock,
        FLATWRIGHT_PT_marks,
        FLATWRIGHT_PT_library,
        FLATWRIGHT_PT_test_pieces,
        FLATWRIGHT_PT_kerf_test,
        FLATWRIGHT_PT_fit_series,
        FLATWRIGHT_PT_iso_fit,
    ),
    [
        (
            bpy.types.Scene,
            "flatwright_stocks",
            lambda: bpy.props.CollectionProperty(type=FLATWRIGHT_PG_stock),
        ),
        (bpy.types.Scene, "flatwright_stock_index", lambda: bpy.props.IntProperty(min=0)),
        (
            bpy.types.Scene,
            "flatwright_fit_series",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_fit_series),
        ),
        (
            bpy.types.Scene,
            "flatwright_kerf_test",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_kerf_test),
        ),
        (
            bpy.types.Scene,
            "flatwright_shows_paths",
            lambda: bpy.props.BoolProperty(
                name="Show Cut Path",
                description="Draw the tool's path, relief and findings over the selected parts",
                default=True,
            ),
        ),
        (
            bpy.types.Object,
            "flatwright_part",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_part),
        ),
    ],
)


signs: list[Overlay] = []


def register() -> None:
    """Register the room and show what the tool will do."""
    _register()
    on_reading("lines", unknown_lines)
    signs.append(Overlay(draw_paths, lasting=True))


def unregister() -> None:
    """Take back the room and what is drawn."""
    while signs:
        signs.pop().remove()
    _unregister()
