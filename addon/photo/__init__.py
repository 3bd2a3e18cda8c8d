"""Photo: bring a picture of the mock-up into the file."""

import bpy

from ..rooms import room
from .operators import FLATWRIGHT_OT_add_photo
from .panel import FLATWRIGHT_PT_photo
from .properties import FLATWRIGHT_PG_photo

register, unregister = room(
    (FLATWRIGHT_PG_photo, FLATWRIGHT_OT_add_photo, FLATWRIGHT_PT_photo),
    [
        (
            bpy.types.Object,
            "flatwright_photo",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_photo),
        )
    ],
)
