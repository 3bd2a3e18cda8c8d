"""A turned object from an outline: the half of it that lies on one side of its axis."""

import math
from typing import Literal

import numpy as np
import shapely

from ...arrays import Point
from ...errors import AssemblyError
from ...outline.curves import Line, Profile
from .meshes import CHORD_MM, Mesh, turned

__all__ = ["TurnedSide", "axis_of_half", "turned_outline"]

TurnedSide = Literal["left", "right"]


def axis_of_half(profile: Profile) -> tuple[Point, float]:
    """A point and the direction (rad) of an outline's longest straight edge, the axis of a half.

    Raises
    ------
    AssemblyError
        If it has no straight edge.
    """
    edges = [segment for segment in profile.outer.segments if isinstance(segment, Line)]
    if not edges:
        raise AssemblyError(
            "The outline has no straight edge to turn it about, and no axis. Make it symmetric, or "
            "draw half of it with a straight edge along the axis."
        )
    longest = max(edges, key=lambda edge: edge.length_mm)
    (x0, y0), (x1, y1) = longest.start, longest.end
    return longest.start, math.atan2(y1 - y0, x1 - x0)


def turned_outline(profile: Profile, point: Point, angle_rad: float, side: TurnedSide) -> Mesh:
    """The mesh of what lies on one side of an axis, turned about it; the axis becomes z.

    Parameters
    ----------
    profile
        The outline, mm.
    point, angle_rad
        The axis. It is taken upwards, or to the right where it is level.
    side
        Seen along the axis as it is taken, which side is kept.

    Raises
    ------
    AssemblyError
        If nothing lies on that side.
    """
    up = np.array([math.cos(angle_rad), math.sin(angle_rad)])
    up = up if (up[1], up[0]) > (0.0, 0.0) else -up
    right = np.array([up[1], -up[0]]) * (1.0 if side == "right" else -1.0)
    rings = [loop.flatten(CHORD_MM) - np.asarray(point) for loop in profile.loops]
    region = shapely.Polygon(
        rings[0] @ np.column_stack((right, up)),
        [ring @ np.column_stack((right, up)) for ring in rings[1:]],
    )
    _, y0, x1, y1 = region.bounds
    kept = shapely.intersection(region, shapely.box(0.0, y0 - 1.0, max(x1, 0.0) + 1.0, y1 + 1.0))
    kept = max(shapely.get_parts(kept), key=lambda one: one.area, default=shapely.Polygon())
    if not isinstance(kept, shapely.Polygon) or kept.area < CHORD_MM:
        raise AssemblyError(
            "Nothing of the outline lies on that side of its axis. Choose the other side."
        )
    kept = shapely.orient_polygons(kept)
    low = kept.bounds[1]
    loops = [kept.exterior, *kept.interiors]
    return turned([shapely.get_coordinates(loop)[:-1] - (0.0, low) for loop in loops])
