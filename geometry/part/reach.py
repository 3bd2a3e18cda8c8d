"""Reach: which inside corners a round cutter cannot get into, and how much it leaves there.

Sharp corners, tight arcs and tight curves are all found alike: the space around the part is opened
by the cutter, and what that leaves out is what the cutter leaves standing.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ..arrays import Point
from ..outline.curves import Profile
from ..tolerance import GRAIN_MM, MEASURED_FLAT_MM
from .narrow import NarrowPlace

__all__ = ["UnreachedCorner", "closed_holes", "unreached_corners"]

SLACK_MM = 3e-3
"""The cutter is taken this much too small, so that it enters an opening of just its own size."""


@dataclass(frozen=True, slots=True, eq=False)
class UnreachedCorner:
    """What the cutter leaves, its tip, and how far the cutter stays from that."""

    place: Point
    left_mm: float
    left: BaseGeometry

    def near(self, place: Point, distance_mm: float) -> bool:
        """Whether some of what is left lies within a distance of a place."""
        return bool(shapely.dwithin(self.left, shapely.Point(place), distance_mm))


def closed_holes(profile: Profile, radius_mm: float) -> list[tuple[NarrowPlace, BaseGeometry]]:
    """Return the holes a cutter finds no room in at all, each with its widest place."""
    found = []
    for loop in profile.holes:
        hole = shapely.Polygon(loop.flatten(MEASURED_FLAT_MM))
        if not hole.buffer(SLACK_MM - radius_mm).is_empty:
            continue
        widest = shapely.maximum_inscribed_circle(hole, tolerance=MEASURED_FLAT_MM)
        (x, y), _ = shapely.get_coordinates(widest)
        found.append((NarrowPlace((float(x), float(y)), 2.0 * widest.length), hole))
    return found


def unreached_corners(profile: Profile, radius_mm: float) -> list[UnreachedCorner]:
    """Return where a cutter of a radius, running all around outside the part, leaves material."""
    part = profile.polygon(MEASURED_FLAT_MM)
    # A rounded frame, so that its own corners are all within the cutter's reach.
    frame = part.convex_hull.buffer(4.0 * radius_mm, quad_segs=32)
    void = shapely.difference(frame, part)
    smaller = max(radius_mm - SLACK_MM, 0.5 * radius_mm)
    centers = void.buffer(-smaller, quad_segs=64)
    opened = centers.buffer(smaller + 2.0 * SLACK_MM, quad_segs=64)
    found = []
    for piece in shapely.get_parts(shapely.difference(void, opened)):
        if piece.is_empty:
            continue
        points = shapely.get_coordinates(piece)
        away = shapely.distance(shapely.points(points), centers) - smaller
        tip = int(np.argmax(away))
        # What a cutter leaves in a corner grows with its size.
        left = float(away[tip]) * radius_mm / smaller
        if left > GRAIN_MM:
            x, y = points[tip]
            found.append(UnreachedCorner((float(x), float(y)), left, piece))
    return found
