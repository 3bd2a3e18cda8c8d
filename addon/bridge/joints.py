"""Joints as the scene keeps them, and as the core wants them."""

import math
from collections.abc import Sequence

import bpy

from ...geometry.assembly import Part
from ...geometry.assembly.joinery import Joinery, Joint
from ...geometry.assembly.tabslot import TabRule
from .units import show_length, to_blender

__all__ = ["core_joints", "note_joints"]

Line = tuple[tuple[float, float, float], tuple[float, float, float]]


def core_joints(
    scene: bpy.types.Scene, things: Sequence[bpy.types.Object], parts: Sequence[Part]
) -> dict[int, Joint]:
    """Return the joints that are to be cut, by their place in the scene's list."""
    settings = scene.flatwright_assembly
    index = {thing: i for i, thing in enumerate(things)}
    joints = {}
    for number, joint in enumerate(settings.joints):
        if not joint.enabled or joint.a not in index or joint.b not in index:
            continue
        a, b = index[joint.a], index[joint.b]
        joints[number] = Joint(
            a,
            b,
            joint.kind,
            _clearance_mm(settings, joint, parts[b if joint.kind == "tab" else a]),
            round(joint.split, 4),
            joint.opens,
            TabRule(joint.tab_count, round(joint.tab_width_mm, 4), round(joint.tab_margin_mm, 4)),
        )
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


def note_joints(scene: bpy.types.Scene, numbers: Sequence[int], joinery: Joinery) -> None:
    """Write beside every joint what became of it; ``numbers`` are the joints that were cut."""
    settings = scene.flatwright_assembly
    told: dict[tuple[int, int], tuple[str, Line]] = {}
    for lap in joinery.laps:
        cross = lap.cross_lap
        text = f"{math.degrees(cross.angle_rad):.0f}°, slots {show_length(cross.width_a_mm, scene)}"
        if cross.is_loose:
            text += f"; askew, plays {show_length(cross.slack_mm, scene)}"
        told[(lap.a, lap.b)] = (text, cross.line)
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
    settings.laps, settings.tabbed = len(joinery.laps), len(joinery.tabs)
