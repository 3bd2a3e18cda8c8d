"""Where objects stand, worked out from what is stored of them and their parents.

Blender works `matrix_world` out for what is seen, and a moment after a change. A hidden object
keeps an old one, and after a file was opened none at all.
"""

from collections.abc import Iterator

import bpy
import numpy as np
from mathutils import Matrix

from ...geometry.errors import AssemblyError

__all__ = ["RIGID", "is_scaled", "moved_by", "undo_parents_scale", "world_matrix"]

PLACES = ("location", "rotation", "scale", "delta_", "constraints", "parent")
"""How data paths begin that move an object."""
LEAST = 1e-12
"""A parent with less of a volume than a scale of 1e-4 has left has no size to go back from."""
RIGID = 1e-4
"""A matrix whose columns are this near to being square and of length one turns and moves alone;
single precision leaves 1e-7."""


def world_matrix(thing: bpy.types.Object) -> np.ndarray:
    """(4, 4) matrix from an object's own axes to the world's, in Blender units.

    Raises
    ------
    AssemblyError
        If a constraint, a driver, physics or a parent's shape places it and it is hidden, so that
        Blender does not work its place out.
    """
    what = moved_by(thing)
    if not what:
        return _stored(thing)
    if not thing.visible_get():
        raise AssemblyError(
            "“{name}” is hidden, and {what} places it, which Blender works out only "
            "for what is seen. Show it, or apply its place with Object ▸ Apply ▸ "
            "Visual Transform.",
            name=thing.name,
            what=what,
        )
    return np.array(thing.matrix_world, dtype=np.float64)


def moved_by(thing: bpy.types.Object) -> str:
    """What else than its stored place moves an object or one of its parents; "" for nothing."""
    for one in _upwards(thing):
        if any(c.enabled and c.influence > 0.0 for c in one.constraints):
            return "a constraint"
        if one.rigid_body is not None and one.rigid_body.type == "ACTIVE":
            return "physics"
        if _is_animated(one):
            return "a driver or an animation"
        if one.parent is not None and one.parent_type != "OBJECT":
            return "a part of its parent"
        along = getattr(one.parent, "data", None)
        if isinstance(along, bpy.types.Curve) and along.use_path:
            return "a path"
    return ""


def is_scaled(thing: bpy.types.Object) -> str:
    """Whether an object is not shown at its own size: "scaled", "mirrored", or "" where it is.

    Raises
    ------
    AssemblyError
        As `world_matrix`.
    """
    turn = world_matrix(thing)[:3, :3]
    if np.abs(turn.T @ turn - np.eye(3)).max() > RIGID:
        return "scaled"
    return "mirrored" if np.linalg.det(turn) < 0.0 else ""


def undo_parents_scale(thing: bpy.types.Object) -> None:
    """Have an object, itself unscaled, stand where it stands at its own size again.

    What its parents scale it by goes into its parent inverse. Its face stays where it looks, and
    its upward edge; a parent that has no size left lets go of it.
    """
    world, basis = world_matrix(thing), np.array(thing.matrix_basis, dtype=np.float64)
    rigid = world.copy()
    rigid[:3, :3] = _unscaled(world[:3, :3])
    above = world @ np.linalg.inv(np.array(thing.matrix_parent_inverse, dtype=np.float64) @ basis)
    if abs(np.linalg.det(above[:3, :3])) < LEAST:
        thing.parent = None
        return
    thing.matrix_parent_inverse = Matrix(np.linalg.inv(above) @ rigid @ np.linalg.inv(basis))


def _unscaled(turn: np.ndarray) -> np.ndarray:
    """(3, 3) rotation whose z is a matrix's own and whose y is as near to it as can be."""
    up, along = turn[:, 2], turn[:, 1]
    if min(np.linalg.norm(up), np.linalg.norm(np.cross(up, along))) < LEAST:
        return np.eye(3)
    z = up / np.linalg.norm(up)
    y = along - z * (along @ z)
    y /= np.linalg.norm(y)
    return np.column_stack((np.cross(y, z), y, z))


def _stored(thing: bpy.types.Object) -> np.ndarray:
    own = np.array(thing.matrix_basis, dtype=np.float64)
    if thing.parent is None:
        return own
    found: np.ndarray = (
        _stored(thing.parent) @ np.array(thing.matrix_parent_inverse, dtype=np.float64) @ own
    )
    return found


def _upwards(thing: bpy.types.Object) -> Iterator[bpy.types.Object]:
    one: bpy.types.Object | None = thing
    while one is not None:
        yield one
        one = one.parent


def _is_animated(thing: bpy.types.Object) -> bool:
    """Whether its place is driven or keyed."""
    data = thing.animation_data
    if data is None:
        return False
    if data.action is not None or any(not track.mute for track in data.nla_tracks):
        return True
    return any(driver.data_path.startswith(PLACES) for driver in data.drivers)
