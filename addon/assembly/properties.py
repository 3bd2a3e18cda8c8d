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
from ..state.following import rebuild_quietly
from .joint_list import ITEMS

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


FITS = (
    ("press", "Press", "Held by friction alone; the stock's own allowance for it"),
    ("sliding", "Sliding", "Goes together by hand; the stock's own allowance for it"),
    ("loose", "Loose", "Falls together, for glue or paint; the stock's own allowance for it"),
    ("typed", "Typed", "A clearance of your own"),
)


def changed(self: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
    """Cut the slots anew after a setting of theirs changed."""
    rebuild_quietly(context)


def made_anew(self: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
    """Cut a joint by today's rules after it was changed, also one of an older file."""
    self.rule = "left"


class FLATWRIGHT_PG_joint(bpy.types.PropertyGroup):
    """Two parts that are joined where they meet."""

    a: PointerProperty(type=bpy.types.Object)
    b: PointerProperty(type=bpy.types.Object)
    kind: EnumProperty(
        name="Joint",
        items=ITEMS,
        update=made_anew,
    )
    enabled: BoolProperty(
        name="Cut",
        description="Cut this joint; off to leave both parts whole",
        default=True,
        update=changed,
    )
    fit: EnumProperty(
        name="Fit",
        items=(("scene", "As All", "The fit chosen for all joints"), *FITS),
        update=changed,
    )
    clearance_mm: FloatProperty(min=-1.0, max=5.0)
    clearance: length_property(
        "clearance_mm",
        changed=changed,
        name="Clearance",
        description="How much wider than the sheet the slots are; below zero presses",
    )
    split: FloatProperty(
        name="Split",
        description="Share of the crossing that the first part's slot takes",
        default=0.5,
        min=0.05,
        max=0.95,
        subtype="FACTOR",
        update=made_anew,
    )
    opens: EnumProperty(
        name="Opens",
        items=(
            ("auto", "Automatic", "The shortest slots, or the side found to let it go together"),
            ("start", "One Way", "The first part's slot opens at the lower end of the line"),
            ("end", "Other Way", "The first part's slot opens at the upper end of the line"),
        ),
        update=made_anew,
    )
    tab_count: IntProperty(
        name="Tabs", description="How many tabs; 0 chooses", min=0, max=100, update=made_anew
    )
    tab_width_mm: FloatProperty(min=0.0)
    tab_width: length_property(
        "tab_width_mm",
        changed=made_anew,
        name="Tab Width",
        description="Zero makes tabs three sheets wide",
    )
    tab_margin_mm: FloatProperty(min=0.0)
    tab_margin: length_property(
        "tab_margin_mm",
        changed=made_anew,
        name="End Margin",
        description="Kept free of tabs at both ends; zero keeps one thickness",
    )
    finger_count: IntProperty(
        name="Fingers",
        description="How many fingers of both boards together; 0 chooses, 1 makes a butt joint",
        min=0,
        max=400,
        update=made_anew,
    )
    finger_width_mm: FloatProperty(min=0.0)
    finger_width: length_property(
        "finger_width_mm",
        changed=made_anew,
        name="Finger Width",
        description="Zero makes fingers three sheets wide",
    )
    tab_ends: EnumProperty(
        name="Ends",
        items=(
            (
                "fitted",
                "Square Ends",
                "Tabs end in the other sheet, in slots as wide as they need",
            ),
            (
                "through",
                "Whole Ends Through",
                "Where sheets meet askew tabs go through with their whole end, to be cut flush",
            ),
        ),
        update=made_anew,
    )
    rule: EnumProperty(
        name="Rule",
        items=(
            (
                "whole",
                "As in 0.1.0",
                "Laps halve whole outlines, and tabs that meet a face askew have room to play",
            ),
            (
                "left",
                "What Is Left",
                "Laps share what other cuts leave of both parts, and tabs fit at any angle",
            ),
        ),
        update=changed,
    )
    """Files of 0.1.0 know no rule, and so keep the first until a person changes the joint."""
    needed: StringProperty()
    """The side found for an automatic joint: "start" or "end"; empty for the shortest."""
    is_asleep: BoolProperty()
    figures: StringProperty()
    place: FloatVectorProperty(size=3)
    start: FloatVectorProperty(size=3)
    end: FloatVectorProperty(size=3)


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
        name="Fixture Can Be Set In",
        description="The fixture may be put in after some parts stand; off if it cannot be moved",
        default=True,
    )
    slot_clearance_mm: FloatProperty(default=0.0, min=-1.0, max=2.0)
    slot_clearance: length_property(
        "slot_clearance_mm",
        changed=changed,
        name="Slot Clearance",
        description="How much wider than the sheet each slot is; below zero presses",
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
        description="Write gaps and findings at the parts, while the check still holds",
        default=True,
    )
    remarks: CollectionProperty(type=FLATWRIGHT_PG_remark)
    remark_index: IntProperty(name="Finding", min=0)
    interferences: IntProperty()
    order_found: BoolProperty()
    is_clear: BoolProperty()
    is_reached: BoolProperty()
    least_gap_mm: FloatProperty()


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
    required_mm: FloatProperty()
    overlap_mm2: FloatProperty()
    sentence: StringProperty()
    place: FloatVectorProperty(size=3)


def is_mesh(thing: bpy.types.Object | None) -> bool:
    """Whether an object can be a fixture."""
    return thing is not None and thing.type == "MESH"
