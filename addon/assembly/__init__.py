"""Assembly: parts around the fixture, joined and checked."""

import bpy

from ..rooms import room
from .operators import (
    FLATWRIGHT_OT_check_assembly,
    FLATWRIGHT_OT_join_parts,
    FLATWRIGHT_OT_ring_around_fixture,
    FLATWRIGHT_OT_separate_parts,
    FLATWRIGHT_OT_set_fixture,
    FLATWRIGHT_OT_stand_around,
)
from .panel import FLATWRIGHT_PT_assembly
from .properties import (
    FLATWRIGHT_PG_assembly,
    FLATWRIGHT_PG_check,
    FLATWRIGHT_PG_joint,
    FLATWRIGHT_PG_step,
)

register, unregister = room(
    (
        FLATWRIGHT_PG_joint,
        FLATWRIGHT_PG_step,
        FLATWRIGHT_PG_assembly,
        FLATWRIGHT_PG_check,
        FLATWRIGHT_OT_set_fixture,
        FLATWRIGHT_OT_stand_around,
        FLATWRIGHT_OT_ring_around_fixture,
        FLATWRIGHT_OT_join_parts,
        FLATWRIGHT_OT_separate_parts,
        FLATWRIGHT_OT_check_assembly,
        FLATWRIGHT_PT_assembly,
    ),
    [
        (
            bpy.types.Scene,
            "flatwright_assembly",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_assembly),
        ),
        (
            bpy.types.Object,
            "flatwright_check",
            lambda: bpy.props.PointerProperty(type=FLATWRIGHT_PG_check),
        ),
    ],
)
