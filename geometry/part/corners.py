"""Corners of a profile as the cutter sees them: where the void narrows to a point."""

import math
from dataclasses import dataclass

from ..arrays import Point
from ..outline.profile import Profile
from ..outline.segments import Line, Segment

__all__ = ["SMOOTH_RAD", "InsideCorner", "inside_corners"]

SMOOTH_RAD = 1e-3
"""Joints that turn less than this are smooth: no corner for any cutter."""


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
        """Point at a distance from the corner."""
        return (
            self.place[0] + distance_mm * direction[0],
            self.place[1] + distance_mm * direction[1],
        )


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
    turn = math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
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
