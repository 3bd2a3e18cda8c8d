"""What stands over a photo: Blender's start-up cube and other photos are kept out of its way."""

from collections.abc import Iterable
from typing import Any

import bpy
import numpy as np
from mathutils import Matrix, Vector

from ..blender.extents import box_of
from ..blender.units import to_blender, to_mm
from ..locale.words import reported
from ..state.things import photo_objects

__all__ = ["picture_mm", "set_beside", "uncover"]

COVERED = 0.2
"""Fraction of the photo that must be hidden before it is worth a word."""
APART_MM = 20.0
"""Free between two photos. Chosen: seen as a gap, and both still fit the view."""
START_UP = ["CAMERA", "LIGHT", "MESH"]


def uncover(context: bpy.types.Context, photo: bpy.types.Object) -> str:
    """Hide the cube of a start-up scene left as it was; return a sentence on what was in the way.

    Nothing else is touched: a person's own objects are only named. Empty where nothing is over
    the photo.
    """
    others = [thing for thing in context.scene.objects if thing != photo]
    cube = _start_up_cube(others)
    if cube is not None and cube.visible_get():
        cube.hide_set(True)
        return reported("The start-up cube stood over it and is hidden; Alt H shows it again.")
    over = [thing for thing in others if thing.type == "MESH" and thing.visible_get()]
    over = [thing for thing in over if _share_covered(photo, thing) > COVERED]
    if not over:
        return ""
    names = ", ".join(f"“{thing.name}”" for thing in over)
    return reported("{names} stands over it: move the photo, or hide that with H.", names=names)


def set_beside(context: bpy.types.Context, photo: bpy.types.Object) -> None:
    """Move a photo to the right of all others where its picture would lie over one of them."""
    shown = [one for one in photo_objects(context) if one != photo and one.visible_get()]
    others = [picture_mm(one)[:, :2] for one in shown]
    own = picture_mm(photo)[:, :2]
    low, high = own.min(axis=0), own.max(axis=0)
    if any((one.min(axis=0) < high).all() and (one.max(axis=0) > low).all() for one in others):
        right = max(float(one[:, 0].max()) for one in others)
        aside = Vector((to_blender(right + APART_MM - float(low[0])), 0.0, 0.0))
        photo.matrix_world = Matrix.Translation(aside) @ photo.matrix_world


def _start_up_cube(things: Iterable[bpy.types.Object]) -> bpy.types.Object | None:
    """The cube, if there are only it, a camera and a light, and it is as Blender made it."""
    found = sorted(things, key=lambda thing: thing.type)
    if [thing.type for thing in found] != START_UP:
        return None
    cube = found[-1]
    if not isinstance(cube.data, bpy.types.Mesh) or cube.modifiers or cube.parent is not None:
        return None
    rows = [tuple(row) for row in cube.matrix_world]
    is_moved = not np.allclose(rows, np.eye(4), atol=1e-6)
    corners = {tuple(round(abs(c), 5) for c in v.co) for v in cube.data.vertices}
    is_cube = len(cube.data.vertices) == 8 and corners == {(1.0, 1.0, 1.0)}
    return cube if is_cube and not is_moved else None


def _share_covered(photo: bpy.types.Object, thing: bpy.types.Object) -> float:
    """Fraction of the photo, 0 to 1, that lies under an object's box."""
    picture = picture_mm(photo)
    low, high = box_of([thing])
    if high[2] <= picture[:, 2].max():
        return 0.0
    left, right = picture.min(axis=0), picture.max(axis=0)
    both = np.minimum(high, right)[:2] - np.maximum(low, left)[:2]
    return float(both.clip(0.0).prod() / (right - left)[:2].prod())


def picture_mm(photo: bpy.types.Object) -> np.ndarray:
    """(4, 3) corners of the picture that an empty shows, in mm."""
    picture: Any = photo.data
    width, height = picture.size
    per_px = photo.empty_display_size / max(width, height, 1)
    left, bottom = photo.empty_image_offset
    fractions = [(left + x, bottom + y) for x in (0.0, 1.0) for y in (0.0, 1.0)]
    corners = [Vector((x * width * per_px, y * height * per_px, 0.0)) for x, y in fractions]
    return np.array([[to_mm(c) for c in photo.matrix_world @ corner] for corner in corners])
