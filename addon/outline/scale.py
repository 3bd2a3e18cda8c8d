"""Outlines that are seen in another size than they are cut in, and made that size."""

import bpy
import numpy as np
from mathutils import Matrix

from ...geometry.errors import FlatwrightError, OutlineError
from ...geometry.sentences import Sentence, sentence_of
from ..blender.curves import curve_of, read_profile
from ..blender.poses import is_scaled, moved_by, world_matrix
from ..blender.profiles import profile_of
from ..state.things import outline_objects, part_objects
from .outline_objects import rewrite_outline

__all__ = ["apply_scale", "scaled_outlines", "unreadable_outline"]

SQUARE = 1e-4
"""Axes farther from square than this are sheared, and no width and height say how the shape is
seen."""


def scaled_outlines(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Every outline that is scaled or mirrored in the scene."""
    return [thing for thing in outline_objects(context) if _is_scaled(thing)]


def unreadable_outline(context: bpy.types.Context) -> Sentence | None:
    """Why the first outline that a part is made of cannot be cut; None where all can."""
    used = {thing.flatwright_part.outline for thing in part_objects(context)}
    for thing in outline_objects(context):
        if thing not in used:
            continue
        try:
            profile_of(thing)
        except FlatwrightError as error:
            return sentence_of(error)
    return None


def apply_scale(thing: bpy.types.Object) -> None:
    """Make an outline's curve as large as it is seen, and clear the scale.

    Raises
    ------
    OutlineError
        If it cannot be cut, is sheared, or something else than what is stored places it.
    """
    world = world_matrix(thing)
    sizes = np.linalg.norm(world[:3, :3], axis=0)
    axes = world[:3, :3] / np.where(sizes > 0.0, sizes, 1.0)
    if min(sizes[:2]) <= 0.0 or np.abs(axes.T @ axes - np.eye(3)).max() > SQUARE:
        raise OutlineError(
            "“{name}” is sheared or flattened by its parents. Clear its parent with "
            "Object ▸ Parent ▸ Clear Parent, and its scale with Object ▸ Clear ▸ "
            "Scale.",
            name=thing.name,
        )
    if moved_by(thing):
        raise OutlineError(
            "“{name}” is placed by {moved_by}. Apply that first with Object ▸ Apply "
            "▸ Visual Transform.",
            name=thing.name,
            moved_by=moved_by(thing),
        )
    # A mirrored outline becomes its mirror image, whichever of its axes were turned over.
    flips = np.linalg.det(axes) < 0.0
    scale = np.diag([-sizes[0] if flips else sizes[0], sizes[1], 1.0])
    if flips:
        axes[:, 0] = -axes[:, 0]
    profile = read_profile(curve_of(thing)).transformed(scale)
    rewrite_outline(thing, profile)
    rigid = np.eye(4)
    rigid[:3, :3], rigid[:3, 3] = axes, world[:3, 3]
    thing.delta_scale = (1.0, 1.0, 1.0)
    thing.matrix_world = Matrix(rigid.tolist())


def _is_scaled(thing: bpy.types.Object) -> bool:
    try:
        return bool(is_scaled(thing))
    except FlatwrightError:
        return False
