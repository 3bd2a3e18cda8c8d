"""Where an object really reaches: a curve's own bounds hold its handles and a metre besides."""

from collections.abc import Sequence

import bpy
import numpy as np
from mathutils import Vector

from .units import to_mm

__all__ = ["box_of", "corners_mm"]


def corners_mm(thing: bpy.types.Object) -> np.ndarray:
    """(N, 3) world places around an object in mm: a curve's points on both faces, else its box."""
    data = thing.data
    if isinstance(data, bpy.types.Curve):
        points = [p.co for spline in data.splines for p in spline.bezier_points]
        local = [Vector((p[0], p[1], z)) for p in points for z in (-data.extrude, data.extrude)]
    else:
        local = [Vector(corner) for corner in thing.bound_box]
    world = [thing.matrix_world @ place for place in local or [Vector()]]
    return np.array([[to_mm(c) for c in place] for place in world])


def box_of(things: Sequence[bpy.types.Object]) -> tuple[np.ndarray, np.ndarray]:
    """(3,) lowest and highest corner in mm of a box around objects."""
    places = np.concatenate([corners_mm(thing) for thing in things])
    return places.min(axis=0), places.max(axis=0)
