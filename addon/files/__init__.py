"""Files: parts and sheets checked, cut files written, read back and measured."""

import bpy

from ..blender.drawing import Overlay
from ..blender.registering import room
from .comparing import register as _register_comparing
from .comparing import unregister as _unregister_comparing
from .cut_order_shown import draw_order
from .kept_kerf import FLATWRIGHT_OT_use_kept_kerf
from .machines import FLATWRIGHT_OT_add_machine, FLATWRIGHT_OT_remove_machine
from .menu import register_menu, unregister_menu
from .operators import (
    FLATWRIGHT_OT_check_readiness,
    FLATWRIGHT_OT_decide_hidden,
    FLATWRIGHT_OT_save_cut_files,
    FLATWRIGHT_OT_show_finding,
)
from .panel import FLATWRIGHT_PT_files, FLATWRIGHT_PT_times, FLATWRIGHT_UL_findings
from .properties import FLATWRIGHT_PG_finding, FLATWRIGHT_PG_readiness
from .recut import register as _register_recut
from .recut import unregister as _unregister_recut

_register, _unregister = room(
    (
        FLATWRIGHT_PG_finding,
        FLATWRIGHT_PG_readiness,
        FLATWRIGHT_OT_check_readiness,
        FLATWRIGHT_OT_decide_hidden,
        FLATWRIGHT_OT_show_finding,
        FLATWRIGHT_OT_save_cut_files,
        FLATWRIGHT_OT_add_machine,
        FLATWRIGHT_OT_remove_machine,
        FLATWRIGHT_OT_use_kept_kerf,
        FLATWRIGHT_UL_findings,
        FLATWRIGHT_PT_files,
        FLATWRIGHT_PT_times,
    ),
    [
        (
            bpy.types.Scene,
            "flatwright_readiness",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_readiness),
        )
    ],
)


order: list[Overlay] = []


def register() -> None:
    """Register the room, its entry in the Export menu, and the order of cuts on the sheets."""
    _register()
    _register_comparing()
    _register_recut()
    register_menu()
    order.append(Overlay(draw_order, lasting=True))


def unregister() -> None:
    """Take them back."""
    while order:
        order.pop().remove()
    unregister_menu()
    _unregister_recut()
    _unregister_comparing()
    _unregister()
