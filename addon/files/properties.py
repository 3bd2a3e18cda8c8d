"""What the last check of parts and sheets found."""

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    EnumProperty,
    FloatVectorProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

__all__ = ["FLATWRIGHT_PG_finding", "FLATWRIGHT_PG_readiness"]


class FLATWRIGHT_PG_finding(bpy.types.PropertyGroup):
    """One thing to know before cutting; its place is in the axes of ``frame``."""

    severity: EnumProperty(
        items=(
            ("stop", "Stop", "It cannot come out as meant", "CANCEL", 0),
            ("caution", "Caution", "It can, but look first", "ERROR", 1),
        )
    )
    label: StringProperty()
    sentence: StringProperty()
    told: StringProperty()
    """The sentence as a template and its values, so that any language can say it."""
    thing: PointerProperty(type=bpy.types.Object)
    frame: PointerProperty(type=bpy.types.Object)
    place_mm: FloatVectorProperty(size=2)


class FLATWRIGHT_PG_readiness(bpy.types.PropertyGroup):
    """The findings, and the scene they speak of."""

    findings: CollectionProperty(type=FLATWRIGHT_PG_finding)
    index: IntProperty(name="Problem", min=0)
    checked: BoolProperty()
    checked_scene: StringProperty()
    machine: StringProperty(
        name="Machine",
        description="Whose names and colours layers get in files, from the add-on's preferences; "
        "empty: the standard ones",
    )
    corrects_machine: BoolProperty(
        name="Correct for Machine",
        description="Draw paths so that parts come out true on the machine as it was measured; "
        "never the paper template",
    )
    saved_machine: StringProperty()
    """What the files were corrected for when they were saved last, as JSON; "" for nothing."""
