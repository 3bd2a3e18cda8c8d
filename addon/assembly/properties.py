"""The fixture, the joints, and what the last check found."""

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    FloatProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

from ..bridge.units import length_property

__all__ = [
    "FLATWRIGHT_PG_assembly",
    "FLATWRIGHT_PG_check",
    "FLATWRIGHT_PG_joint",
    "FLATWRIGHT_PG_step",
    "is_mesh",
]


class FLATWRIGHT_PG_joint(bpy.types.PropertyGroup):
    """Two parts that are lapped where they cross."""

    a: PointerProperty(type=bpy.types.Object)
    b: PointerProperty(type=bpy.types.Object)


class FLATWRIGHT_PG_step(bpy.types.PropertyGroup):
    """One push of the assembly."""

    sentence: StringProperty()


class FLATWRIGHT_PG_assembly(bpy.types.PropertyGroup):
    """Settings and results of the whole assembly."""

    fixture: PointerProperty(
        name="Fixture",
        description="The existing object that will not change; your parts must fit it",
        type=bpy.types.Object,
        poll=lambda self, thing: thing.type == "MESH",
    )
    fixture_moves: BoolProperty(
        name="Fixture Can Be Set In",
        description="The fixture may be put in after some parts stand; off if it cannot be moved",
        default=True,
    )
    slot_clearance_mm: FloatProperty(default=0.0, min=-1.0, max=2.0)
    slot_clearance: length_property(
        "slot_clearance_mm",
        name="Slot Clearance",
        description="How much wider than the sheet each slot is; below zero presses",
    )
    joints: CollectionProperty(type=FLATWRIGHT_PG_joint)
    laps: IntProperty()
    steps: CollectionProperty(type=FLATWRIGHT_PG_step)
    checked: BoolProperty()
    checked_scene: StringProperty()
    interferences: IntProperty()
    order_found: BoolProperty()
    is_clear: BoolProperty()
    least_gap_mm: FloatProperty()


class FLATWRIGHT_PG_check(bpy.types.PropertyGroup):
    """What the last check found for one part."""

    checked: BoolProperty()
    reaches: BoolProperty()
    gap_mm: FloatProperty()
    overlap_mm2: FloatProperty()
    sentence: StringProperty()


def is_mesh(thing: bpy.types.Object | None) -> bool:
    """Whether an object can be a fixture."""
    return thing is not None and thing.type == "MESH"
