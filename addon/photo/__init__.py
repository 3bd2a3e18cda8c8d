"""Photo: bring a picture of the mock-up into the file."""

import bpy

from ..blender.registering import room
from .menu import FLATWRIGHT_FH_photo, draw_import
from .operators import FLATWRIGHT_OT_add_photo
from .panel import FLATWRIGHT_PT_photo
from .properties import FLATWRIGHT_PG_photo

_register, _unregister = room(
    (FLATWRIGHT_PG_photo, FLATWRIGHT_OT_add_photo, FLATWRIGHT_FH_photo, FLATWRIGHT_PT_photo),
    [
        (
            bpy.types.Object,
            "flatwright_photo",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_photo),
        )
    ],
)


def register() -> None:
    """Give Blender the room and its entry in the import menu."""
    _register()
    bpy.types.TOPBAR_MT_file_import.append(draw_import)


def unregister() -> None:
    """Take both back."""
    bpy.types.TOPBAR_MT_file_import.remove(draw_import)
    _unregister()
