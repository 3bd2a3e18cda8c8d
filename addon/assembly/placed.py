"""Which parts belong to the assembly: those that were placed, and those near to it all the same."""

import bpy
import numpy as np

from ..blender.curves import curve_of, points_of
from ..blender.meshes import read_mesh
from ..blender.poses import world_matrix
from ..blender.units import blender_per_mm
from ..part.part_objects import half_thickness, stock_named
from ..state.things import fixture_objects, live_joints, part_objects, stands_apart, with_stock

__all__ = ["left_out", "placed_parts"]

NEAR_MM = 5.0
"""A part that lies no farther than the required gap and this from the fixture or a placed part
counts: as far as the check looks over and under a part."""
STILL_MM = 0.01
"""A part this near to where it was made was never placed; single precision is far below it."""

Box = tuple[np.ndarray, np.ndarray]


def placed_parts(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Return the parts that the check looks at; test pieces and what still lies on the mat are not.

    Where nothing at all was placed every part counts: then nothing can be told apart. Parts whose
    stock was removed do not, unless there is no other.

    Raises
    ------
    FlatwrightError
        If a place is not known, or the fixture cannot be read.
    """
    every = [thing for thing in part_objects(context) if not stands_apart(thing)]
    things = with_stock(context.scene, every)
    if not things:
        return every
    joints = context.scene.flatwright_assembly.joints
    joined = {end for i in live_joints(context.scene, things) for end in (joints[i].a, joints[i].b)}
    counts = {o for o in things if o in joined or not _lies_as_made(context, o)}
    boxes = {thing: _box(thing) for thing in things}
    around: list[Box] = []
    for fixture, required_mm in fixture_objects(context):
        vertices, _ = read_mesh(context, fixture)
        reach = NEAR_MM + required_mm
        around.append((vertices.min(axis=0) - reach, vertices.max(axis=0) + reach))
    around += [_grown(boxes[thing]) for thing in counts]
    left = [thing for thing in things if thing not in counts]
    while True:
        near = [o for o in left if any(_meet(boxes[o], other) for other in around)]
        if not near:
            break
        around = [_grown(boxes[thing]) for thing in near]
        counts |= set(near)
        left = [thing for thing in left if thing not in near]
    return [thing for thing in things if thing in counts] if counts else things


def left_out(scene: bpy.types.Scene) -> set[bpy.types.Object]:
    """What the last check left out: what is only cut here, and parts that were never placed."""
    unplaced = {entry.thing for entry in scene.flatwright_assembly.unplaced}
    return unplaced | {o for o in scene.objects if stands_apart(o)}


def _lies_as_made(context: bpy.types.Context, thing: bpy.types.Object) -> bool:
    """Whether a part lies where it was made: on its outline, its lower face on the mat."""
    outline = thing.flatwright_part.outline
    if outline is None or outline.flatwright_outline.ring_record:
        return False
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    lift = np.eye(4)
    lift[2, 3] = half_thickness(stock.thickness_mm, context.scene)
    away = world_matrix(thing) - world_matrix(outline) @ lift
    # A thickness typed later makes a part grow about its middle: its lower face is not asked about.
    away[:3, 3] -= world_matrix(thing)[:3, 2] * (away[:3, 3] @ world_matrix(thing)[:3, 2])
    return bool(np.abs(away).max() / blender_per_mm() < STILL_MM)


def _box(thing: bpy.types.Object) -> Box:
    """Box around a part in the world, in mm."""
    curve = curve_of(thing)
    flat = points_of(curve)[1:].reshape(-1, 3).astype(np.float64)
    half = float(curve.extrude)
    corners = np.concatenate([flat + np.array([0.0, 0.0, z]) for z in (-half, half)])
    matrix = world_matrix(thing)
    world = (corners @ matrix[:3, :3].T + matrix[:3, 3]) / blender_per_mm()
    return world.min(axis=0), world.max(axis=0)


def _grown(box: Box) -> Box:
    return box[0] - NEAR_MM, box[1] + NEAR_MM


def _meet(one: Box, other: Box) -> bool:
    return bool((one[0] <= other[1]).all() and (other[0] <= one[1]).all())
