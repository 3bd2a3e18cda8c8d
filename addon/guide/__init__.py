"""Guide: the steps of the job, the switch between views, the example and the manual."""

import bpy

from ..blender.registering import room
from .header import register_header, unregister_header
from .menu import MENUS, register_menu, unregister_menu
from .operators import (
    FLATWRIGHT_OT_add_example,
    FLATWRIGHT_OT_look_at,
    FLATWRIGHT_OT_next_step,
    FLATWRIGHT_OT_read_manual,
)
from .panel import FLATWRIGHT_PT_guide
from .properties import FLATWRIGHT_PG_guide, FLATWRIGHT_PG_tab
from .updating import FLATWRIGHT_OT_bring_up_to_date

_register, _unregister = room(
    (
        FLATWRIGHT_PG_guide,
        FLATWRIGHT_PG_tab,
        FLATWRIGHT_OT_look_at,
        FLATWRIGHT_OT_next_step,
        FLATWRIGHT_OT_bring_up_to_date,
        FLATWRIGHT_OT_add_example,
        FLATWRIGHT_OT_read_manual,
        FLATWRIGHT_PT_guide,
        *MENUS,
    ),
    [
        (
            bpy.types.Scene,
            "flatwright_guide",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_guide),
        ),
        (
            bpy.types.WindowManager,
            "flatwright_tab",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_tab),
        ),
    ],
)


def register() -> None:
    """Register the room and its entries in menus and headers."""
    _register()
    register_menu()
    register_header()


def unregister() -> None:
    """Take all of it back."""
    unregister_header()
    unregister_menu()
    _unregister()
