"""What is in the scene of the job, what of it is up to date, and the work beside the window."""

import bpy

from ..blender.registering import room
from .beside import forget_answers
from .properties import FLATWRIGHT_PG_kept, FLATWRIGHT_PG_state
from .records import keep_versions, stop_keeping_versions
from .runner import stop_running

__all__ = ["register", "unregister"]

_register, _unregister = room(
    (FLATWRIGHT_PG_kept, FLATWRIGHT_PG_state),
    [
        (
            bpy.types.Scene,
            "flatwright_state",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_state),
        )
    ],
)


def register() -> None:
    """Register what is kept of results, and bring files of older versions up to this one."""
    _register()
    keep_versions()


def unregister() -> None:
    """Take it back, and stop what runs beside the window."""
    forget_answers()
    stop_running()
    stop_keeping_versions()
    _unregister()
