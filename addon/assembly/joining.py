"""Add joints where parts meet, take them back, and show where they are."""

from collections.abc import Generator
from typing import Any

import bpy

from ...geometry.assembly.joints import Joinery, copies_along_lines, kind_named
from ...geometry.errors import AssemblyError, PartsDoNotMeetError
from ..blender.selecting import select_only
from ..blender.views import look_at
from ..state.following import paused
from ..state.things import part_objects, selected_parts, with_stock
from ..state.work import Work
from .rebuilding import core_parts, plan_parts, rebuild_parts, rebuilding, show_parts

__all__ = [
    "fingering",
    "joining_as",
    "lapping",
    "removing_joint",
    "separating",
    "sharing_left",
    "show_joint",
    "swapping",
    "tabbing",
]

AROUND_MM = 120.0
"""So much is seen around a joint."""
Joining = Generator[Work, Any, int]
"""Stretches of work one after the other; in the end how many joints it was about."""


def lapping(context: bpy.types.Context) -> Joining:
    """Lap the selected parts, or all if fewer than two are selected; return how many pairs.

    Raises
    ------
    PartsDoNotMeetError
        If no two of them cross.
    """
    return _joining(
        context,
        "lap",
        "None of these parts cross each other. Move them until they overlap where they shall be "
        "lapped.",
    )


def tabbing(context: bpy.types.Context) -> Joining:
    """Join with tabs the selected parts of which one ends at another's face; return how many.

    Raises
    ------
    PartsDoNotMeetError
        If no part ends at another's face.
    """
    return _joining(
        context,
        "tab",
        "None of these parts ends at another one's face. Move one until its edge touches the face "
        "it shall go through.",
    )


def fingering(context: bpy.types.Context) -> Joining:
    """Join with fingers the selected parts that meet at an edge; return how many.

    Raises
    ------
    PartsDoNotMeetError
        If no two of them end at each other.
    """
    return _joining(
        context,
        "finger",
        "No two of these parts meet at an edge. Move them until each ends at the other one's face.",
    )


def joining_as(context: bpy.types.Context, kind: str) -> Joining:
    """Join the selected parts that meet as a kind of joint needs it; return how many pairs.

    Raises
    ------
    PartsDoNotMeetError
        If no two of them do.
    """
    return _joining(
        context,
        kind,
        "No two of these parts meet so that they could be joined like that. Move them until they "
        "touch.",
    )


def _joining(context: bpy.types.Context, kind: str, otherwise: str) -> Joining:
    chosen = selected_parts(context)
    things = chosen if len(chosen) > 1 else with_stock(context.scene, part_objects(context))
    parts = core_parts(context, things, whole=True)
    pairs = yield lambda progress: kind_named(kind).pairs(parts)
    if not pairs:
        raise PartsDoNotMeetError(otherwise)
    settings = context.scene.flatwright_assembly
    joints = settings.joints
    joined = {frozenset((joint.a, joint.b)) for joint in joints}
    before = len(joints)
    with paused():
        for i, j in pairs:
            if frozenset((things[i], things[j])) not in joined:
                joint = joints.add()
                joint.a, joint.b, joint.kind, joint.rule = things[i], things[j], kind, "left"
    try:
        joinery = yield from _cutting(context)
    except Exception:
        while len(joints) > before:
            joints.remove(len(joints) - 1)
        raise
    show_parts(context, joinery)
    settings.opening = ""
    settings.joint_index = len(joints) - 1
    return len(joints) - before


def _cutting(context: bpy.types.Context) -> Generator[Work, Any, Joinery]:
    """Compute the parts with their joints; copies through one line get shapes of their own first.

    Each of them keeps another interval of the line, so they cannot be cut from one shape.
    """
    plan = plan_parts(context)
    apart = yield lambda progress: copies_along_lines(plan.parts, plan.joints, plan.groups)
    things = plan.things
    shared = {things[i]: things[i].data for i in apart}
    for thing, curve in shared.items():
        thing.data = curve.copy()
    try:
        joinery: Joinery = yield rebuilding(context)
    except Exception:
        for thing, curve in shared.items():
            own: Any = thing.data
            thing.data = curve
            bpy.data.curves.remove(own)
        raise
    return joinery


def separating(context: bpy.types.Context) -> Joining:
    """Take back the selected parts' joints, or all if none is selected; return how many."""
    chosen = selected_parts(context) or part_objects(context)
    joints = context.scene.flatwright_assembly.joints
    return _removing(
        context, [i for i, joint in enumerate(joints) if joint.a in chosen or joint.b in chosen]
    )


def removing_joint(context: bpy.types.Context) -> Joining:
    """Take back the joint chosen in the list."""
    return _removing(context, [context.scene.flatwright_assembly.joint_index])


def _removing(context: bpy.types.Context, numbers: list[int]) -> Joining:
    """Rebuild the parts as if the joints were gone, and only then take them off the list."""
    settings = context.scene.flatwright_assembly
    joints = settings.joints
    before = {i: joints[i].enabled for i in numbers}
    _enable(joints, dict.fromkeys(numbers, False))
    try:
        joinery = yield rebuilding(context)
    except Exception:
        _enable(joints, before)
        raise
    for i in reversed(numbers):
        joints.remove(i)
    settings.opening = ""
    settings.joint_index = max(min(settings.joint_index, len(joints) - 1), 0)
    show_parts(context, joinery)
    return len(numbers)


def _enable(joints: Any, wanted: dict[int, bool]) -> None:
    with paused():
        for i, enabled in wanted.items():
            joints[i].enabled = enabled


def swapping(context: bpy.types.Context) -> Joining:
    """Let the two parts of the chosen joint change places; return 1.

    Raises
    ------
    AssemblyError
        If the joint cannot be made the other way round; it then stays as it was.
    """
    settings = context.scene.flatwright_assembly
    number = settings.joint_index
    _swap(settings.joints[number])
    try:
        joinery = yield rebuilding(context)
        show_parts(context, joinery)
        joint = settings.joints[number]
        if joint.is_asleep:
            raise AssemblyError(
                "“{name}” does not end at the face of “{name_2}”, so the tabs cannot change "
                "sides. The joint is as it was; move “{name}” until it ends there, then press "
                "Swap Sides.",
                name=joint.a.name,
                name_2=joint.b.name,
            )
    except Exception:
        _swap(settings.joints[number])
        # What was computed of the parts as they were is still known, so this is quick.
        rebuild_parts(context)
        raise
    return 1


def _swap(joint: Any) -> None:
    with paused():
        joint.a, joint.b = joint.b, joint.a
        # The same slots as before: what opened at one end of the first part opens at the other.
        joint.needed = {"start": "end", "end": "start"}.get(joint.needed, "")


def sharing_left(context: bpy.types.Context) -> Joining:
    """Let every joint that keeps the rule of 0.1.0 follow today's; return how many."""
    joints = [joint for joint in context.scene.flatwright_assembly.joints if joint.rule == "whole"]
    _rule(joints, "left")
    try:
        joinery = yield rebuilding(context)
    except Exception:
        _rule(joints, "whole")
        raise
    show_parts(context, joinery)
    return len(joints)


def _rule(joints: list[Any], rule: str) -> None:
    with paused():
        for joint in joints:
            joint.rule = rule


def show_joint(context: bpy.types.Context, index: int) -> None:
    """Select the two parts of a joint and look at where they meet.

    Raises
    ------
    AssemblyError
        If a part of it is gone.
    """
    settings = context.scene.flatwright_assembly
    if not 0 <= index < len(settings.joints):
        raise AssemblyError("There is no such joint any more. Choose one in the list of joints.")
    joint = settings.joints[index]
    for thing in (joint.a, joint.b):
        if thing is None or thing.name not in context.view_layer.objects:
            raise AssemblyError("A part of this joint was deleted. Remove the joint, or undo.")
        thing.hide_set(False)
    select_only(context, joint.b)
    joint.a.select_set(True)
    settings.joint_index = index
    look_at(context, joint.place, AROUND_MM)
