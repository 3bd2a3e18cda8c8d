"""A piece of a true segment between two places on it, and the segment moved sideways."""

import math

import numpy as np

from ...arrays import Point, Points
from ...tolerance import JOIN_MM
from .crossings import nearest_parameter
from .segments import Arc, Cubic, Line, Segment

__all__ = ["beside", "piece_between", "same_curve", "shifted"]

ON_CURVE_MM = 5e-7
"""An end this near to a circle is on it; half of what a loop's joints allow."""


def beside(segment: Segment, t: float, distance_mm: float) -> Point:
    """Place (x, y), mm, to the right of a segment as it is travelled: outside the material.

    Parameters
    ----------
    segment
        A line, arc or cubic.
    t
        Place on it, 0 to 1.
    distance_mm
        From there.
    """
    (x, y), (ux, uy) = segment.point_at(t), segment.tangent_at(t)
    return (x + distance_mm * uy, y - distance_mm * ux)


def shifted(edge: Line | Arc, distance_mm: float) -> Line | Arc | None:
    """Edge moved to its right: a parallel line or a concentric arc, None where the arc vanishes."""
    if isinstance(edge, Line):
        return Line(beside(edge, 0.0, distance_mm), beside(edge, 1.0, distance_mm))
    # Counter-clockwise material lies inside the circle: growing widens the arc.
    radius = edge.radius_mm + math.copysign(distance_mm, distance_mm * edge.sweep_rad)
    return Arc(edge.center, radius, edge.start_rad, edge.sweep_rad) if radius > JOIN_MM else None


def same_curve(a: Segment | None, b: Segment | None) -> bool:
    """Whether two segments lie on one line or one circle, so that their pieces are one."""
    if isinstance(a, Arc) and isinstance(b, Arc):
        return math.dist(a.center, b.center) < 1e-7 and abs(a.radius_mm - b.radius_mm) < 1e-7
    if isinstance(a, Line) and isinstance(b, Line):
        ux, uy = a.tangent_at(0.0)
        vx, vy = b.tangent_at(0.0)
        wx, wy = b.start[0] - a.start[0], b.start[1] - a.start[1]
        return abs(ux * vy - uy * vx) < 1e-9 and abs(ux * wy - uy * wx) < 1e-7
    return False


def piece_between(source: Segment | None, run: Points, start: Point, end: Point) -> Segment:
    """Return the piece of ``source`` from ``start`` to ``end`` the way ``run`` travels.

    Parameters
    ----------
    run : (K, 2) float
        Polygon corners along the piece, which tell its direction and how far round it goes.
    """
    if source is None or isinstance(source, Line):
        return Line(start, end)
    if isinstance(source, Cubic):
        return _cubic(source, start, end)
    return _arc(source, run, start, end)


def _arc(source: Arc, run: Points, start: Point, end: Point) -> Segment:
    center, radius = source.center, source.radius_mm
    turned = np.unwrap(np.arctan2(run[:, 1] - center[1], run[:, 0] - center[0]))
    about = float(turned[-1] - turned[0])
    start_rad = math.atan2(start[1] - center[1], start[0] - center[0])
    end_rad = math.atan2(end[1] - center[1], end[0] - center[0])
    # The polygon tells the number of turns and the sense, the corners tell the exact angle.
    sweep = end_rad - start_rad
    sweep += 2.0 * math.pi * round((about - sweep) / (2.0 * math.pi))
    if sweep == 0.0:
        return Line(start, end)
    off = max(abs(math.dist(center, p) - radius) for p in (start, end))
    if off < ON_CURVE_MM:
        return Arc(center, radius, start_rad, sweep)
    # A corner beside the circle, from a touching crossing: the arc bends to meet it.
    middle = source.at_angle(start_rad + sweep / 2.0)
    try:
        return Arc.through(start, middle, end)
    except ValueError:
        return Line(start, end)


def _cubic(source: Cubic, start: Point, end: Point) -> Segment:
    t0, t1 = nearest_parameter(source, start), nearest_parameter(source, end)
    if abs(t1 - t0) < 1e-9:
        return Line(start, end)
    piece = source.between(t0, t1)
    shift0 = (start[0] - piece.start[0], start[1] - piece.start[1])
    shift1 = (end[0] - piece.end[0], end[1] - piece.end[1])
    return Cubic(
        start,
        (piece.control1[0] + shift0[0], piece.control1[1] + shift0[1]),
        (piece.control2[0] + shift1[0], piece.control2[1] + shift1[1]),
        end,
    )
