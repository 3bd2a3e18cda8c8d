"""Parts placed around the fixture, lapped, and checked against it."""

import hashlib
import math

import bpy
import numpy as np

from ...geometry.assembly import find_axis, fixture_circle, lie_across_axis
from ...geometry.assembly.around import stand_around as standing_poses
from ...geometry.assembly.check import AssemblyCheck, check_assembly
from ...geometry.assembly.order import Step
from ...geometry.outline import ring
from ...geometry.progress import Progress
from ..work import Work
from .curves import RECORD, curve_of, read_profile
from .fixtures import fixture_mesh
from .meshes import set_pose_mm
from .outlines import add_outline, select_only
from .parts import add_part, core_parts, part_objects, stock_named
from .units import show_length

__all__ = [
    "check_holds",
    "checking",
    "ring_around",
    "show_check",
    "stand_around",
]


def stand_around(
    context: bpy.types.Context,
    thing: bpy.types.Object,
    *,
    count: int,
    distance_mm: float,
    floor_mm: float,
    facing: str,
    foot: int,
) -> list[bpy.types.Object]:
    """Stand a part around the fixture's axis; the copies share its shape."""
    vertices, triangles = fixture_mesh(context)
    axis = find_axis(vertices, triangles)
    # Heights are told from the world's floor, wherever the axis has its point.
    floor_from_point = floor_mm - float(np.dot(axis.point, axis.direction))
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    poses = standing_poses(
        read_profile(curve_of(thing.flatwright_part.outline)),
        stock.thickness_mm,
        vertices,
        triangles,
        count=count,
        distance_mm=distance_mm,
        floor_mm=floor_from_point,
        axis_point=axis.point,
        axis_dir=axis.direction,
        facing=facing,
        foot=None if foot < 0 else foot,
    )
    copies = [thing]
    for _ in poses[1:]:
        copy = thing.copy()
        context.collection.objects.link(copy)
        copies.append(copy)
    for copy, pose in zip(copies, poses, strict=True):
        set_pose_mm(copy, pose)
    return copies


def ring_around(
    context: bpy.types.Context,
    stock: bpy.types.PropertyGroup,
    *,
    height_mm: float,
    outer_diameter_mm: float,
    clearance_mm: float,
) -> float:
    """Add a ring whose bore clears the fixture at a height; return the bore's diameter."""
    vertices, triangles = fixture_mesh(context)
    axis = find_axis(vertices, triangles)
    from_point = height_mm - float(np.dot(axis.point, axis.direction))
    pose = lie_across_axis(from_point, axis.point, axis.direction)
    thickness_mm = stock_named(context.scene, stock.name).thickness_mm
    circle = fixture_circle(vertices, triangles, pose, thickness_mm, axis)
    bore_mm = circle.bore_mm(clearance_mm)
    profile = ring(outer_diameter_mm, bore_mm)
    outline = add_outline(context, "Ring outline", profile)
    set_pose_mm(outline, pose)
    thing = add_part(context, outline, stock, "Ring")
    # The pose speaks of the middle of the sheet.
    set_pose_mm(thing, pose)
    outline.hide_set(True)
    return bore_mm


def checking(context: bpy.types.Context) -> Work:
    """Return the work of checking the assembly as it stands."""
    things = part_objects(context)
    parts = core_parts(context, things, whole=False)
    vertices, triangles = fixture_mesh(context)
    moves = bool(context.scene.flatwright_assembly.fixture_moves)

    def work(progress: Progress) -> AssemblyCheck:
        return check_assembly(parts, vertices, triangles, progress, fixture_moves=moves)

    return work


def show_check(context: bpy.types.Context, check: AssemblyCheck) -> tuple[str, str]:
    """Store what the check found; return a report level and a sentence."""
    things = part_objects(context)
    for thing, found in zip(things, check.clearances, strict=True):
        settings = thing.flatwright_check
        settings.checked = True
        settings.reaches = math.isfinite(found.gap_mm)
        settings.gap_mm = found.gap_mm if settings.reaches else 0.0
        settings.overlap_mm2 = found.overlap_mm2
        settings.sentence = found.message
    settings = context.scene.flatwright_assembly
    settings.checked = True
    settings.checked_scene = _scene_now(context)
    settings.interferences = len(check.clashes)
    settings.least_gap_mm = check.least_gap_mm if math.isfinite(check.least_gap_mm) else 0.0
    settings.order_found = check.order.can_be_built
    settings.is_clear = check.is_clear
    settings.steps.clear()
    bodies = [*things, settings.fixture]
    for step in check.order.steps:
        kept = settings.steps.add()
        kept.sentence, kept.direction = _push(step, bodies), step.direction
        for i in step.parts:
            kept.pushed.add().thing = bodies[i]
    select_only(context, context.object or things[0])
    return _verdict(check, things)


def check_holds(context: bpy.types.Context) -> bool:
    """Whether the last check speaks of the scene as it now stands."""
    settings = context.scene.flatwright_assembly
    return bool(settings.checked) and settings.checked_scene == _scene_now(context)


def _scene_now(context: bpy.types.Context) -> str:
    """Shapes and places of everything the check looks at, shortened to compare."""
    things = [*part_objects(context), context.scene.flatwright_assembly.fixture]
    told = []
    for thing in things:
        if thing is not None:
            place = [f"{value:.6f}" for row in thing.matrix_world for value in row]
            told.append(f"{thing.name} {thing.data.get(RECORD, '')} {' '.join(place)}")
    return hashlib.sha256("\n".join(told).encode()).hexdigest()


def _push(step: Step, things: list[bpy.types.Object]) -> str:
    names = ", ".join(things[i].name for i in step.parts)
    x, y, z = step.direction
    if math.hypot(x, y, z) == 0.0:
        return f"Set down {names}"
    if abs(z) > 0.99:
        return f"Push {names} {'up' if z > 0 else 'down'}"
    return f"Push {names} towards {_compass(x, y)}"


def _compass(x: float, y: float) -> str:
    """A level direction in words people find in the viewport, such as "+X" or "240° from X"."""
    turn = round(math.degrees(math.atan2(y, x))) % 360
    return {0: "+X", 90: "+Y", 180: "-X", 270: "-Y"}.get(turn, f"{turn}° from X")


def _verdict(check: AssemblyCheck, things: list[bpy.types.Object]) -> tuple[str, str]:
    if check.clashes:
        first = check.clashes[0]
        return "WARNING", (
            f"{len(check.clashes)} pairs of parts overlap, such as {things[first.a].name} and "
            f"{things[first.b].name}. Lap them or move one."
        )
    if check.least_gap_mm <= 0.0:
        worst = min(range(len(things)), key=lambda i: check.clearances[i].gap_mm)
        return "WARNING", check.clearances[worst].message
    if not check.order.can_be_built:
        return "WARNING", check.order.message
    gap = check.least_gap_mm
    clear = f"Least gap to the fixture {show_length(gap)}. " if math.isfinite(gap) else ""
    return "INFO", f"{clear}No overlaps. {check.order.message}"
