"""Joints as people see them, one entry a kind; as the scene keeps them; as the core wants them."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import bpy
from bpy.props import (
    BoolProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

from ...geometry.assembly import Part
from ...geometry.assembly.joints import (
    ButtRule,
    Connection,
    FingerRule,
    Joinery,
    Joint,
    TabRule,
    kind_named,
)
from ..blender.units import length_property, show_length, to_blender
from ..state.following import rebuild_quietly
from ..state.things import live_joints

__all__ = [
    "FITS",
    "ITEMS",
    "SHOWN",
    "FLATWRIGHT_PG_joint",
    "ShownKind",
    "changed",
    "core_joints",
    "note_joints",
]


class ShownKind(NamedTuple):
    """Label, tooltip, icon and settings shown of a kind of joint; ``own`` makes its rule."""

    label: str
    tip: str
    icon: Any
    settings: tuple[str, ...]
    own: Callable[[Any], object] = lambda joint: None


SHOWN = {
    "lap": ShownKind(
        "Cross-Lap",
        "Both sheets are slotted half way and pushed into each other",
        "MOD_BOOLEAN",
        ("split", "opens"),
    ),
    "tab": ShownKind(
        "Tab and Slot",
        "One sheet goes through slots in the other with tabs",
        "SNAP_EDGE",
        ("tab_count", "tab_width", "tab_margin", "tab_ends"),
    ),
    "finger": ShownKind(
        "Finger Joint",
        "Boards that meet at an edge, each with fingers where the other has gaps",
        "MOD_EDGESPLIT",
        ("finger_count", "finger_width", "tab_ends"),
    ),
    "butt": ShownKind(
        "Butt Joint",
        "One board ends at another one's face, glued or held by screws, nuts or dowels",
        "MOD_SOLIDIFY",
        ("butt_fastener", "butt_size", "butt_count"),
        lambda joint: ButtRule(joint.butt_fastener, float(joint.butt_size), joint.butt_count),
    ),
}
ITEMS = tuple((name, kind.label, kind.tip) for name, kind in SHOWN.items())
"""Choices for a property; the names are kept in files."""


FITS = (
    ("press", "Press", "Held by friction alone; the stock's own allowance for it"),
    ("sliding", "Sliding", "Goes together by hand; the stock's own allowance for it"),
    ("loose", "Loose", "Drops in with visible play, for glue or paint; the stock's own allowance"),
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
        items=(("scene", "Same as All Joints", "The fit chosen for all joints"), *FITS),
        update=changed,
    )
    clearance_mm: FloatProperty(min=-1.0, max=5.0)
    clearance: length_property(
        "clearance_mm",
        changed=changed,
        name="Clearance",
        description="Slot width less sheet thickness; negative is tighter",
    )
    split: FloatProperty(
        name="Slot Depth in First Part",
        description="Share of the crossing that the first part's slot takes; 0.5 is half",
        default=0.5,
        min=0.05,
        max=0.95,
        subtype="FACTOR",
        update=made_anew,
    )
    opens: EnumProperty(
        name="Slot Opens",
        items=(
            ("auto", "Automatic", "The shortest slots, or the side found to let it go together"),
            ("start", "Lower End", "The first part's slot opens at the lower end of the line"),
            ("end", "Upper End", "The first part's slot opens at the upper end of the line"),
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
        description="0: three times the sheet's thickness",
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
        description="0: three times the sheet's thickness",
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
    butt_fastener: EnumProperty(
        name="Held By",
        description="What holds the joint; sizes of holes are those of published tables",
        items=(
            ("none", "Glue", "No holes"),
            ("screw", "Screws", "Holes by ISO 273, medium; drill the other board's edge by hand"),
            ("nut", "Screws and Nuts", "Captive nuts by ISO 4032 in pockets of the other board"),
            ("dowel", "Dowels", "Holes for DIN 68150 dowels; drill the other board's edge by hand"),
        ),
        update=made_anew,
    )
    butt_size: EnumProperty(
        name="Size",
        description="Nominal diameter in mm: 3 is M3",
        items=tuple((f"{size}", f"{size} mm", "") for size in (3, 4, 5, 6, 8, 10)),
        update=made_anew,
    )
    butt_count: IntProperty(
        name="Number",
        description="How many screws or dowels; 0 lays one every 100 mm, two at least",
        min=0,
        max=100,
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


def core_joints(
    scene: bpy.types.Scene, things: Sequence[bpy.types.Object], parts: Sequence[Part]
) -> list[Joint]:
    """Return the joints that are to be cut, in the order of the scene's list."""
    settings = scene.flatwright_assembly
    index = {thing: i for i, thing in enumerate(things)}
    joints = []
    for number in live_joints(scene, things):
        joint = settings.joints[number]
        a, b = index[joint.a], index[joint.b]
        rule = TabRule(
            joint.tab_count,
            round(joint.tab_width_mm, 4),
            round(joint.tab_margin_mm, 4),
            ends="wide" if joint.rule == "whole" else joint.tab_ends,
        )
        opens = joint.needed if joint.opens == "auto" and joint.needed else joint.opens
        made = Joint(
            a,
            b,
            joint.kind,
            split=round(joint.split, 4),
            a_opens=opens,
            tabs=rule,
            shares=joint.rule,
            fingers=FingerRule(joint.finger_count, round(joint.finger_width_mm, 4), joint.tab_ends),
            own=SHOWN[joint.kind].own(joint),
        )
        slotted = parts[kind_named(joint.kind).slotted(made)]
        joints.append(replace(made, clearance_mm=_clearance_mm(settings, joint, slotted)))
    return joints


def _clearance_mm(
    settings: bpy.types.PropertyGroup, joint: bpy.types.PropertyGroup, slotted: Part
) -> float:
    """What the joint's slots are wider: the joint's own, else everyone's, else the stock's."""
    if joint.fit == "typed":
        return round(joint.clearance_mm, 5)
    fit = settings.fit if joint.fit == "scene" else joint.fit
    if fit == "typed":
        return round(settings.slot_clearance_mm, 5)
    return round(slotted.stock.allowances.of(fit), 5)


def note_joints(
    scene: bpy.types.Scene, things: Sequence[bpy.types.Object], joinery: Joinery
) -> None:
    """Write beside every joint what became of it."""
    settings = scene.flatwright_assembly
    numbers = live_joints(scene, things)
    unmatched = {numbers[i] for i in joinery.unmatched}
    here = set(scene.objects)
    for number, joint in enumerate(settings.joints):
        joint.is_asleep = number in unmatched
        gone = joint.a not in here or joint.b not in here
        joint.figures = "one of its parts was deleted" if gone else ""
    for number, made in zip(numbers, joinery.made, strict=True):
        if made:
            _note(scene, settings.joints[number], made[-1])
    settings.laps, settings.tabbed = len(joinery.laps), len(joinery.tabs)


def _note(scene: bpy.types.Scene, joint: bpy.types.PropertyGroup, made: Connection) -> None:
    """Write beside one joint how it is cut, and where."""
    told = [str(one) for one in made.figures(lambda mm: show_length(mm, scene))]
    if joint.opens == "auto" and joint.needed:
        told.insert(1, "opens the way the assembly needs")
    joint.figures = "; ".join(told)
    middle = (0.5 * (start + end) for start, end in zip(*made.line, strict=True))
    joint.place = tuple(to_blender(c, scene) for c in middle)
    for name, end in zip(("start", "end"), made.line, strict=True):
        setattr(joint, name, [to_blender(c, scene) for c in end])
