"""Corners of a profile as the cutter sees them: where the void narrows to a point."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..arrays import Point, turn_between
from ..outline.curves import Arc, Cubic, Line, Profile, Segment

__all__ = [
    "SMOOTH_RAD",
    "InsideCorner",
    "InsideRadius",
    "inside_corners",
    "smallest_inside_radius",
]

SMOOTH_RAD = 1e-3
"""Joints that turn less than this are smooth: no corner for any cutter."""
NEAR_MM = 0.01
"""Corners nearer than this to a place named are that one: rounding of single precision at 100 mm is
1e-5 mm."""


@dataclass(frozen=True, slots=True)
class InsideCorner:
    """A corner that material surrounds.

    ``angle_rad`` is the opening of the void, below π; ``toward`` is the unit direction into the
    void along the bisector; ``before`` and ``after`` are unit directions along the two walls,
    away from the corner, with the walls' lengths.
    """

    place: Point
    angle_rad: float
    toward: Point
    before: Point
    after: Point
    before_mm: float
    after_mm: float
    straight: bool

    def along(self, distance_mm: float, direction: Point) -> Point:
        """(x, y), mm, of the point at a distance from the corner in a unit direction."""
        return (
            self.place[0] + distance_mm * direction[0],
            self.place[1] + distance_mm * direction[1],
        )


@dataclass(frozen=True, slots=True)
class InsideRadius:
    """How tightly material bends round the void at a place; 0 at a sharp corner."""

    place: Point
    radius_mm: float


def smallest_inside_radius(profile: Profile, besides: Sequence[Point] = ()) -> InsideRadius | None:
    """Return the tightest inside bend: no larger cutter cuts the profile as it is drawn.

    Parameters
    ----------
    besides
        Corners that need not count, such as those that get relief.

    Returns
    -------
    InsideRadius or None
        None where nothing bends inwards.
    """
    found = [
        InsideRadius(corner.place, 0.0)
        for corner in inside_corners(profile)
        if not any(math.dist(corner.place, place) <= NEAR_MM for place in besides)
    ]
    for segment in profile.segments():
        # Material lies to the left: what turns right bends round the void.
        if isinstance(segment, Arc) and segment.sweep_rad < 0.0:
            found.append(InsideRadius(segment.point_at(0.5), segment.radius_mm))
        elif isinstance(segment, Cubic):
            found.extend(_tightest(segment))
    return min(found, key=lambda bend: bend.radius_mm, default=None)


def _tightest(cubic: Cubic) -> list[InsideRadius]:
    t = np.linspace(0.0, 1.0, 257)
    s1, t1 = 1.0 - t[:, None], t[:, None]
    p0, p1, p2, p3 = cubic.control_points
    speed = 3 * s1 * s1 * (p1 - p0) + 6 * s1 * t1 * (p2 - p1) + 3 * t1 * t1 * (p3 - p2)
    bend = 6 * s1 * (p2 - 2 * p1 + p0) + 6 * t1 * (p3 - 2 * p2 + p1)
    # Right turns bend round the void; their radius is speed³ over what speed and bend enclose.
    turn = speed[:, 1] * bend[:, 0] - speed[:, 0] * bend[:, 1]
    right = turn > 0.0
    if not right.any():
        return []
    radius = np.where(right, np.hypot(*speed.T) ** 3 / np.where(right, turn, 1.0), np.inf)
    at = int(radius.argmin())
    return [InsideRadius(cubic.point_at(float(t[at])), float(radius[at]))]


def inside_corners(profile: Profile) -> tuple[InsideCorner, ...]:
    """Return the corners no round cutter can cut sharp, loop by loop."""
    found = []
    for loop in profile.loops:
        for here, following in zip(
            loop.segments, loop.segments[1:] + loop.segments[:1], strict=True
        ):
            corner = _corner(here, following)
            if corner is not None:
                found.append(corner)
    return tuple(found)


def _corner(here: Segment, following: Segment) -> InsideCorner | None:
    (ux, uy), (vx, vy) = here.tangent_at(1.0), following.tangent_at(0.0)
    # Material lies to the left in every loop, so a right turn wraps it around the void.
    turn = turn_between((ux, uy), (vx, vy))
    if turn > -SMOOTH_RAD:
        return None
    angle = math.pi + turn
    # The bisector by its angle, which stays exact where the walls nearly fold back.
    toward = math.atan2(vy, vx) - angle / 2.0
    return InsideCorner(
        following.start,
        angle,
        (math.cos(toward), math.sin(toward)),
        (-ux, -uy),
        (vx, vy),
        here.length_mm,
        following.length_mm,
        isinstance(here, Line) and isinstance(following, Line),
    )
