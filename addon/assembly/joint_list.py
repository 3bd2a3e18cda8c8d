"""Joints as the scene keeps them, and as the core wants them."""

import math
from collections.abc import Sequence

import bpy

from ...geometry.assembly import Part
from ...geometry.assembly.joints import Joinery, Joint, TabRule
from ..blender.units import show_length, to_blender

__all__ = ["core_joints", "live_joints", "note_joints"]

Line = tuple[tuple[float, float, float], tuple[float, float, float]]


def live_joints(scene: bpy.types.Scene, things: Sequence[bpy.types.Object]) -> list[int]:
    """Places in the scene's list of the joints that are to be cut."""
    here = set(things)
    return [
        number
        for number, joint in enumerate(scene.flatwright_assembly.joints)
        if joint.enabled and joint.a in here and joint.b in here
    ]


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
        clearance_mm = _clearance_mm(settings, joint, parts[b if joint.kind == "tab" else a])
        rule = TabRule(joint.tab_count, round(joint.tab_width_mm, 4), round(joint.tab_margin_mm, 4))
        opens = joint.needed if joint.opens == "auto" and joint.needed else joint.opens
        joints.append(Joint(a, b, joint.kind, clearance_mm, round(joint.split, 4), opens, rule))
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
    turned = {
        (joint.a, joint.b)
        for number, joint in zip(numbers, joinery.joints, strict=True)
        if settings.joints[number].opens == "auto" and settings.joints[number].needed
    }
    told: dict[tuple[int, int], tuple[str, Line]] = {}
    for lap in joinery.laps:
        cross = lap.cross_lap
        text = f"{math.degrees(cross.angle_rad):.0f}°, slots {show_length(cross.width_a_mm, scene)}"
        if (lap.a, lap.b) in turned:
            text += "; opens the way the assembly needs"
        if cross.is_loose:
            text += f"; askew, plays {show_length(cross.slack_mm, scene)}"
        # From the end where the first part's slot opens, as its share of the line is counted.
        line = cross.line if cross.a_opens == "start" else (cross.line[1], cross.line[0])
        told[(lap.a, lap.b)] = (text, line)
    for tabbed in joinery.tabs:
        found = tabbed.tab_slot
        text = (
            f"{len(found.slots)} tabs of {show_length(found.tab_width_mm, scene)}, slots "
            f"{show_length(found.slot_width_mm, scene)}"
        )
        if found.lengthened_mm > 0.0:
            text += f"; edge made {show_length(found.lengthened_mm, scene)} longer"
        told[(tabbed.a, tabbed.b)] = (text, found.line)
    asleep = {numbers[i] for i in joinery.asleep}
    here = set(scene.objects)
    for number, joint in enumerate(settings.joints):
        joint.is_asleep = number in asleep
        gone = joint.a not in here or joint.b not in here
        joint.figures = "one of its parts was deleted" if gone else ""
    for number, joint in zip(numbers, joinery.joints, strict=True):
        if (joint.a, joint.b) in told:
            text, ends = told[joint.a, joint.b]
            settings.joints[number].figures = text
            middle = (0.5 * (start + end) for start, end in zip(*ends, strict=True))
            settings.joints[number].place = tuple(to_blender(c, scene) for c in middle)
            for name, end in zip(("start", "end"), ends, strict=True):
                setattr(settings.joints[number], name, [to_blender(c, scene) for c in end])
    settings.laps, settings.tabbed = len(joinery.laps), len(joinery.tabs)
