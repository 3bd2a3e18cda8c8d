"""Add joints where parts meet, take them back, and show where they are."""

from collections.abc import Callable, Sequence

import bpy
from mathutils import Vector

from ...geometry.assembly import Part
from ...geometry.assembly.joinery import meeting_pairs, tabbed_pairs
from ...geometry.errors import AssemblyError, PartsDoNotMeetError
from .following import paused
from .outlines import select_only
from .parts import core_parts, part_objects, rebuild_parts, selected_parts
from .units import to_blender

__all__ = ["lap_parts", "remove_joint", "separate_parts", "show_joint", "swap_joint", "tab_parts"]

AROUND_MM = 120.0
"""So much is seen around a joint."""
Pairs = Callable[[Sequence[Part]], tuple[tuple[int, int], ...]]


def lap_parts(context: bpy.types.Context) -> int:
    """Lap the selected parts, or all if fewer than two are selected; return how many pairs.

    Raises
    ------
    PartsDoNotMeetError
        If no two of them cross.
    """
    return _join(
        context,
        "lap",
        meeting_pairs,
        "None of these parts cross each other. Move them until they overlap where they shall be "
        "lapped.",
    )


def tab_parts(context: bpy.types.Context) -> int:
    """Join with tabs the selected parts of which one ends at another's face; return how many.

    Raises
    ------
    PartsDoNotMeetError
        If no part ends at another's face.
    """
    return _join(
        context,
        "tab",
        tabbed_pairs,
        "None of these parts ends at another one's face. Move one until its edge touches the face "
        "it shall go through.",
    )


def _join(context: bpy.types.Context, kind: str, find: Pairs, otherwise: str) -> int:
    chosen = selected_parts(context)
    things = chosen if len(chosen) > 1 else part_objects(context)
    pairs = find(core_parts(context, things, whole=True))
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
                joint.a, joint.b, joint.kind = things[i], things[j], kind
    try:
        rebuild_parts(context)
    except AssemblyError:
        while len(joints) > before:
            joints.remove(len(joints) - 1)
        raise
    settings.joint_index = len(joints) - 1
    return len(joints) - before


def separate_parts(context: bpy.types.Context) -> int:
    """Take back the selected parts' joints, or all if none is selected; return how many."""
    chosen = selected_parts(context) or part_objects(context)
    joints = context.scene.flatwright_assembly.joints
    before = len(joints)
    for i in reversed(range(before)):
        if joints[i].a in chosen or joints[i].b in chosen:
            joints.remove(i)
    rebuild_parts(context)
    return before - len(joints)


def remove_joint(context: bpy.types.Context) -> None:
    """Take back the joint chosen in the list."""
    settings = context.scene.flatwright_assembly
    settings.joints.remove(settings.joint_index)
    settings.joint_index = max(min(settings.joint_index, len(settings.joints) - 1), 0)
    rebuild_parts(context)


def swap_joint(context: bpy.types.Context) -> None:
    """Let the two parts of the chosen joint change places.

    Raises
    ------
    AssemblyError
        If the joint cannot be made the other way round; it then stays as it was.
    """
    settings = context.scene.flatwright_assembly
    joint = settings.joints[settings.joint_index]
    joint.a, joint.b = joint.b, joint.a
    try:
        rebuild_parts(context)
        if joint.is_asleep:
            raise AssemblyError(
                f"“{joint.a.name}” does not end at the face of “{joint.b.name}”, so the tabs "
                "cannot change sides. The joint is as it was."
            )
    except AssemblyError:
        joint.a, joint.b = joint.b, joint.a
        rebuild_parts(context)
        raise


def show_joint(context: bpy.types.Context, index: int) -> None:
    """Select the two parts of a joint and look at where they meet.

    Raises
    ------
    AssemblyError
        If a part of it is gone.
    """
    settings = context.scene.flatwright_assembly
    if not 0 <= index < len(settings.joints):
        raise AssemblyError("There is no such joint any more.")
    joint = settings.joints[index]
    for thing in (joint.a, joint.b):
        if thing is None or thing.name not in context.view_layer.objects:
            raise AssemblyError("A part of this joint was deleted. Remove the joint, or undo.")
        thing.hide_set(False)
    select_only(context, joint.b)
    joint.a.select_set(True)
    settings.joint_index = index
    view = getattr(context.space_data, "region_3d", None)
    if view is not None:
        view.view_location = Vector(joint.place)
        view.view_distance = to_blender(AROUND_MM, context.scene)
