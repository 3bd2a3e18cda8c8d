"""Short facets taken off corners, where what is so short could not be seen as a facet."""

from __future__ import annotations

import math

from ...arrays import Point
from ..curves import Line, Loop, Segment

__all__ = ["without_facets"]

LEAST_TURN_RAD = 0.2
"""Sides that turn less meet too far off for their crossing to be told (a quarter of the surety
across them is left along them at 12°)."""
LONGER = 2.0
"""Sides are at least so many times as long as what lies between them, else it is no facet."""


def without_facets(loop: Loop, shorter_mm: float) -> Loop:
    """Return a loop whose straight sides meet where only a shorter facet was between them.

    Parameters
    ----------
    loop : Loop
        A closed outline.
    shorter_mm : float
        Length under which what lies between two sides is no facet; nor does a corner that is drawn
        out move farther than that.
    """
    segments = list(loop.segments)
    k = 0
    while k < len(segments) and len(segments) > 3:
        before, facet, after = (segments[(k + step) % len(segments)] for step in (-1, 0, 1))
        corner = _corner(before, facet, after, shorter_mm)
        if corner is None:
            k += 1
            continue
        segments[k - 1] = Line(before.start, corner)
        segments[(k + 1) % len(segments)] = Line(corner, after.end)
        del segments[k]
    return Loop(tuple(segments)) if len(segments) < len(loop.segments) else loop


def _corner(before: Segment, facet: Segment, after: Segment, shorter_mm: float) -> Point | None:
    """Where two sides meet over a facet; None where it is no facet, or they do not meet near."""
    if not (isinstance(before, Line) and isinstance(after, Line)):
        return None
    length = facet.length_mm
    if length >= shorter_mm or min(before.length_mm, after.length_mm) < LONGER * length:
        return None
    (ax, ay), (bx, by) = before.start, before.end
    (cx, cy), (dx, dy) = after.start, after.end
    cross = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    along = (bx - ax) * (dx - cx) + (by - ay) * (dy - cy)
    if abs(math.atan2(cross, along)) < LEAST_TURN_RAD:
        return None
    share = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / cross
    corner = (ax + share * (bx - ax), ay + share * (by - ay))
    near = max(math.dist(corner, before.end), math.dist(corner, after.start)) <= shorter_mm
    # Beyond both sides: an inner crossing would be a notch and no corner.
    ahead = share >= 1.0 and _share_of(corner, after) <= 0.0
    return corner if near and ahead else None


def _share_of(place: Point, line: Line) -> float:
    """How far along a line a place on it is, as a share of its length."""
    (x, y), (ex, ey) = line.start, line.end
    return ((place[0] - x) * (ex - x) + (place[1] - y) * (ey - y)) / line.length_mm**2
