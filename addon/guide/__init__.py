"""Guide: the steps of the job, the switch between views, the example and the manual."""

import bpy

from ..blender.registering import room
from .menu import register_menu, unregister_menu
from .operators import (
    FLATWRIGHT_OT_add_example,
    FLATWRIGHT_OT_look_at,
    FLATWRIGHT_OT_read_manual,
)
from .panel import FLATWRIGHT_PT_guide
from .properties import FLATWRIGHT_PG_guide
from .updating import FLATWRIGHT_OT_bring_up_to_date

_register, _unregister = room(
    (
        FLATWRIGHT_PG_guide,
        FLATWRIGHT_OT_look_at,
        FLATWRIGHT_OT_bring_up_to_date,
        FLATWRIGHT_OT_add_example,
        FLATWRIGHT_OT_read_manual,
        FLATWRIGHT_PT_guide,
    ),
    [
        (
            bpy.types.Scene,
            "flatwright_guide",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_guide),
        )
    ],
)


def register() -> None:
    """Register the room and its menu entries."""
    _register()
    register_menu()


def unregister() -> None:
    """Take both back."""
    unregister_menu()
    _unregister()
