"""The fixture, the joints, and what the last check found."""

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

from ..blender.units import length_property
from .joint_list import FITS, FLATWRIGHT_PG_joint, changed

__all__ = [
    "FLATWRIGHT_PG_assembly",
    "FLATWRIGHT_PG_check",
    "FLATWRIGHT_PG_fixture",
    "FLATWRIGHT_PG_fixture_cut",
    "FLATWRIGHT_PG_joint",
    "FLATWRIGHT_PG_remark",
    "FLATWRIGHT_PG_step",
    "FLATWRIGHT_PG_thing",
    "is_mesh",
]


class FLATWRIGHT_PG_thing(bpy.types.PropertyGroup):
    """One object of several."""

    thing: PointerProperty(type=bpy.types.Object)


class FLATWRIGHT_PG_step(bpy.types.PropertyGroup):
    """One push of the assembly."""

    sentence: StringProperty()
    direction: FloatVectorProperty(size=3)
    pushed: CollectionProperty(type=FLATWRIGHT_PG_thing)


class FLATWRIGHT_PG_fixture(bpy.types.PropertyGroup):
    """One more object that parts must fit."""

    thing: PointerProperty(
        name="Fixture", type=bpy.types.Object, poll=lambda self, thing: thing.type == "MESH"
    )
    required_mm: FloatProperty(min=0.0, max=1000.0)
    required: length_property(
        "required_mm", name="Required Gap", description="How far parts must keep away from it"
    )


class FLATWRIGHT_PG_remark(bpy.types.PropertyGroup):
    """One thing the check of the assembly has to say; ``told`` as template and values, as JSON."""

    severity: EnumProperty(
        items=(
            ("stop", "Stop", "It does not go together so", "CANCEL", 0),
            ("caution", "Caution", "It does, but look first", "ERROR", 1),
        )
    )
    label: StringProperty()
    sentence: StringProperty()
    told: StringProperty()
    things: CollectionProperty(type=FLATWRIGHT_PG_thing)
    has_place: BoolProperty()
    place: FloatVectorProperty(size=3)


class FLATWRIGHT_PG_assembly(bpy.types.PropertyGroup):
    """Settings and results of the whole assembly."""

    fixture: PointerProperty(
        name="Fixture",
        description="The existing object that will not change; your parts must fit it",
        type=bpy.types.Object,
        poll=lambda self, thing: thing.type == "MESH",
    )
    required_mm: FloatProperty(min=0.0, max=1000.0)
    required: length_property(
        "required_mm", name="Required Gap", description="How far parts must keep away from it"
    )
    axis_from: EnumProperty(
        name="Axis",
        description="What parts stand around",
        items=(
            ("found", "Found", "The axis the fixture is round about"),
            ("cursor", "3D Cursor", "The z axis of the 3D cursor"),
            ("object", "Object", "The z axis of an object, such as an empty"),
        ),
    )
    axis_object: PointerProperty(name="Axis Object", type=bpy.types.Object)
    more_fixtures: CollectionProperty(type=FLATWRIGHT_PG_fixture)
    follows: BoolProperty(
        name="Follow Changes",
        description="Rebuild parts whenever an outline, a stock, a pose or the fixture changes",
        default=True,
    )
    is_stale: BoolProperty()
    is_computing: BoolProperty(options={"SKIP_SAVE"})
    trouble: StringProperty()
    trouble_record: StringProperty()
    fixture_moves: BoolProperty(
        name="Object Can Be Put In Later",
        description="The fixture may be put in after some parts stand; off if it cannot be moved",
        default=True,
    )
    slot_clearance_mm: FloatProperty(default=0.0, min=-1.0, max=2.0)
    slot_clearance: length_property(
        "slot_clearance_mm",
        changed=changed,
        name="Slot Clearance",
        description="Slot width less sheet thickness; negative is tighter",
    )
    fit: EnumProperty(
        name="Fit",
        description="How tight slots are, unless a joint says otherwise",
        items=FITS,
        update=changed,
    )
    joints: CollectionProperty(type=FLATWRIGHT_PG_joint)
    joint_index: IntProperty(name="Joint")
    opening: StringProperty()
    """What was said when sides were last sought."""
    laps: IntProperty()
    tabbed: IntProperty()
    steps: CollectionProperty(type=FLATWRIGHT_PG_step)
    checked: BoolProperty()
    checked_scene: StringProperty()
    unplaced: CollectionProperty(type=FLATWRIGHT_PG_thing)
    """Parts that still lay on the mat, where they were made, and were left out of the check."""
    shows_check: BoolProperty(
        name="Show in Viewport",
        description="Write gaps and problems at the parts, while the check still holds",
        default=True,
    )
    remarks: CollectionProperty(type=FLATWRIGHT_PG_remark)
    remark_index: IntProperty(name="Problem", min=0)
    interferences: IntProperty()
    order_found: BoolProperty()
    is_clear: BoolProperty()
    is_reached: BoolProperty()
    least_gap_mm: FloatProperty()
    least_gap_doubt_mm: FloatProperty()


class FLATWRIGHT_PG_fixture_cut(bpy.types.PropertyGroup):
    """Whether a part is cut back to the fixture.

    Files of 0.1.0 know nothing of following the rim, and keep the outline that was fitted to it.
    """

    enabled: BoolProperty(
        name="Cut to Fixture",
        description="Cut the part back so that the fixture passes, and follow when either moves",
        update=changed,
    )
    clearance_mm: FloatProperty(default=0.5, min=-5.0, max=100.0)
    follows_rim: BoolProperty()
    clearance: length_property(
        "clearance_mm", changed=changed, name="Clearance", description="Gap left all round"
    )


class FLATWRIGHT_PG_check(bpy.types.PropertyGroup):
    """What the last check found for one part."""

    checked: BoolProperty()
    reaches: BoolProperty()
    gap_mm: FloatProperty()
    gap_doubt_mm: FloatProperty()
    """± (95 %) of the gap where the object was measured by hand; 0 where nobody knows."""
    required_mm: FloatProperty()
    overlap_mm2: FloatProperty()
    sentence: StringProperty()
    place: FloatVectorProperty(size=3)


def is_mesh(thing: bpy.types.Object | None) -> bool:
    """Whether an object can be a fixture."""
    return thing is not None and thing.type == "MESH"
