"""Where two true segments cross, as exactly as the numbers allow."""

import math

import numpy as np

from ...arrays import Point
from .segments import Arc, Cubic, Line, Segment

__all__ = ["crossings", "nearest_parameter"]


def crossings(a: Segment, b: Segment, near: Point) -> list[Point]:
    """Points where the curves of two segments cross; lines and arcs count beyond their ends.

    ``near`` is where a crossing is expected: a cubic's is searched from there.

    Parameters
    ----------
    a, b
        The two segments, mm.
    near
        Where a crossing is expected: a cubic's is searched from there.
    """
    if isinstance(a, Cubic) or isinstance(b, Cubic):
        return _with_cubic(a, b, near)
    if isinstance(a, Line) and isinstance(b, Line):
        return _line_line(a, b)
    if isinstance(a, Line) and isinstance(b, Arc):
        return _line_arc(a, b)
    if isinstance(a, Arc) and isinstance(b, Line):
        return _line_arc(b, a)
    assert isinstance(a, Arc)
    assert isinstance(b, Arc)
    return _arc_arc(a, b)


def nearest_parameter(cubic: Cubic, near: Point) -> float:
    """Parameter in 0..1 of the cubic's point nearest to ``near``."""
    t = np.linspace(0.0, 1.0, 65)
    away = np.hypot(*(cubic.points_at(t) - near).T)
    best = float(t[int(away.argmin())])
    for _ in range(8):
        x, y = cubic.point_at(best)
        dx, dy = cubic.tangent_at(best)
        speed = cubic.speed_at(best)
        if speed < 1e-12:
            break
        best = min(max(best - ((x - near[0]) * dx + (y - near[1]) * dy) / speed, 0.0), 1.0)
    return best


def _line_line(a: Line, b: Line) -> list[Point]:
    (ux, uy), (vx, vy) = a.tangent_at(0.0), b.tangent_at(0.0)
    cross = ux * vy - uy * vx
    if abs(cross) < 1e-9:
        return []
    wx, wy = b.start[0] - a.start[0], b.start[1] - a.start[1]
    t = (wx * vy - wy * vx) / cross
    return [(a.start[0] + t * ux, a.start[1] + t * uy)]


def _line_arc(line: Line, arc: Arc) -> list[Point]:
    ux, uy = line.tangent_at(0.0)
    wx, wy = line.start[0] - arc.center[0], line.start[1] - arc.center[1]
    along = wx * ux + wy * uy
    away = wx * uy - wy * ux
    reach2 = arc.radius_mm**2 - away**2
    # A line that grazes the circle within rounding touches it at one place.
    if reach2 < -1e-9 * arc.radius_mm:
        return []
    reach = math.sqrt(max(reach2, 0.0))
    return [
        (line.start[0] + t * ux, line.start[1] + t * uy) for t in (-along - reach, -along + reach)
    ]


def _arc_arc(a: Arc, b: Arc) -> list[Point]:
    dx, dy = b.center[0] - a.center[0], b.center[1] - a.center[1]
    apart = math.hypot(dx, dy)
    if apart < 1e-9:
        return []
    along = (apart**2 + a.radius_mm**2 - b.radius_mm**2) / (2.0 * apart)
    reach2 = a.radius_mm**2 - along**2
    if reach2 < -1e-9 * a.radius_mm:
        return []
    reach = math.sqrt(max(reach2, 0.0))
    ux, uy = dx / apart, dy / apart
    x, y = a.center[0] + along * ux, a.center[1] + along * uy
    return [(x - reach * uy, y + reach * ux), (x + reach * uy, y - reach * ux)]


def _with_cubic(a: Segment, b: Segment, near: Point) -> list[Point]:
    """Newton on the signed distance from the other curve, along the (first) cubic."""
    cubic, other = (a, b) if isinstance(a, Cubic) else (b, a)
    assert isinstance(cubic, Cubic)
    t = nearest_parameter(cubic, near)
    for _ in range(20):
        point = cubic.point_at(t)
        away, (gx, gy) = _signed_distance(other, point)
        dx, dy = cubic.tangent_at(t)
        slope = (gx * dx + gy * dy) * cubic.speed_at(t)
        if abs(slope) < 1e-12:
            return []
        step = away / slope
        t = min(max(t - step, -0.05), 1.05)
        if abs(step) < 1e-15:
            break
    point = cubic.point_at(t)
    return [point] if abs(_signed_distance(other, point)[0]) < 1e-9 else []


def _signed_distance(segment: Segment, point: Point) -> tuple[float, Point]:
    """Signed distance of a point from a curve, and the unit direction in which it grows."""
    if isinstance(segment, Line):
        ux, uy = segment.tangent_at(0.0)
        away = (point[0] - segment.start[0]) * -uy + (point[1] - segment.start[1]) * ux
        return away, (-uy, ux)
    if isinstance(segment, Arc):
        dx, dy = point[0] - segment.center[0], point[1] - segment.center[1]
        radius = math.hypot(dx, dy) or 1.0
        return radius - segment.radius_mm, (dx / radius, dy / radius)
    t = nearest_parameter(segment, point)
    (x, y), (ux, uy) = segment.point_at(t), segment.tangent_at(t)
    return (point[0] - x) * -uy + (point[1] - y) * ux, (-uy, ux)
