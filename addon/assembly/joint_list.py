"""Joints as people see them, one entry a kind; as the scene keeps them; as the core wants them."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import bpy

from ...geometry.assembly import Part
from ...geometry.assembly.joints import (
    Connection,
    FingerRule,
    Joinery,
    Joint,
    TabRule,
    kind_named,
)
from ..blender.units import show_length, to_blender
from ..state.things import live_joints

__all__ = ["ITEMS", "SHOWN", "ShownKind", "core_joints", "note_joints"]


class ShownKind(NamedTuple):
    """Label, tooltip and icon of a kind of joint, and the settings of its own that are shown."""

    label: str
    tip: str
    icon: Any
    settings: tuple[str, ...]


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
}
ITEMS = tuple((name, kind.label, kind.tip) for name, kind in SHOWN.items())
"""Choices for a property; the names are kept in files."""


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
    asleep = {numbers[i] for i in joinery.asleep}
    here = set(scene.objects)
    for number, joint in enumerate(settings.joints):
        joint.is_asleep = number in asleep
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
