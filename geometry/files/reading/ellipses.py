"""Stretched arcs as cubics: what foreign files hold of ellipses."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ...arrays import Matrix, Point
from ...outline import Arc, Cubic, Line, Segment

__all__ = ["arc_cubics", "elliptic_arc", "line_if_flat", "transformed"]

PIECE_RAD = math.pi / 8.0
"""A cubic over so much of a circle leaves it by 3e-8 of the radius."""
EVEN = 1e-6
"""Two axes that differ by less than this fraction are one circle's."""


def arc_cubics(arc: Arc) -> Iterator[Cubic]:
    """Cubics over an arc, with the handles that keep its middle and its tangents."""
    count = math.ceil(abs(arc.sweep_rad) / PIECE_RAD - 1e-9)
    step = arc.sweep_rad / count
    reach = 4.0 / 3.0 * math.tan(step / 4.0) * arc.radius_mm
    for k in range(count):
        a, b = arc.start_rad + k * step, arc.start_rad + (k + 1) * step
        (sx, sy), (ex, ey) = arc.at_angle(a), arc.at_angle(b)
        one = (sx - reach * math.sin(a), sy + reach * math.cos(a))
        two = (ex + reach * math.sin(b), ey - reach * math.cos(b))
        yield Cubic((sx, sy), one, two, (ex, ey))


def transformed(segment: Segment, matrix: Matrix) -> Iterator[Segment]:
    """Move a segment by any 3×3 affine transform; a stretched arc becomes cubics."""
    one, two = matrix[:2, 0], matrix[:2, 1]
    size = max(float(np.hypot(*one)), float(np.hypot(*two)), 1e-300)
    even = abs(float(one @ one - two @ two)) < EVEN * size**2 and abs(float(one @ two)) < (
        EVEN * size**2
    )
    if isinstance(segment, Arc) and not even:
        yield from (c.transformed(matrix) for c in arc_cubics(segment))
    else:
        yield segment.transformed(matrix)


def elliptic_arc(start: Point, n: list[float], end: Point) -> Iterator[Segment]:
    """Cubics over an SVG path's arc (rx, ry, turn, large, sweep) of an ellipse.

    The page is turned and squeezed until the ellipse is a circle (SVG 2, appendix B.2.4).

    Parameters
    ----------
    start, end
        Ends of the arc, in the page's units.
    n
        rx, ry, turn in degrees, whether large, whether swept, and (x, y), as an SVG path has them.
    """
    rx, ry, turn = abs(n[0]), abs(n[1]), math.radians(n[2])
    c, s = math.cos(turn), math.sin(turn)
    out = np.array([[c, -s], [s, c]]) @ np.diag([1.0, ry / rx])
    inward = np.linalg.inv(out)
    (ax, ay), (bx, by) = inward @ np.array(start), inward @ np.array(end)
    chord = math.hypot(bx - ax, by - ay)
    half = math.asin(min(chord / (2.0 * rx), 1.0))
    sweep = 2.0 * math.pi - 2.0 * half if n[3] else 2.0 * half
    arc = Arc.from_bulge((ax, ay), (bx, by), math.tan((sweep if n[4] else -sweep) / 4.0))
    matrix = np.eye(3)
    matrix[:2, :2] = out
    cubics = [c.transformed(matrix) for c in arc_cubics(arc)]
    first, last = cubics[0], cubics[-1]
    cubics[0] = Cubic(start, first.control1, first.control2, first.end)
    last = cubics[-1]
    cubics[-1] = Cubic(last.start, last.control1, last.control2, end)
    yield from cubics


def line_if_flat(segment: Segment, tolerance_mm: float) -> Segment:
    """Return a line for a cubic whose handles lie on its chord."""
    if not isinstance(segment, Cubic):
        return segment
    p0, p1, p2, p3 = segment.control_points
    chord = p3 - p0
    length = float(np.hypot(*chord))
    if length <= tolerance_mm:
        return segment
    off = [abs(float(chord[0] * q[1] - chord[1] * q[0])) / length for q in (p1 - p0, p2 - p0)]
    return Line(segment.start, segment.end) if max(off) < tolerance_mm else segment
