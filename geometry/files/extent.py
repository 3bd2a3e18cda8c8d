"""The box a chain of segments fills, exactly."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from ..arrays import Point
from ..outline import Arc, Cubic, Segment

__all__ = ["extent_mm"]


def extent_mm(segments: Iterable[Segment]) -> tuple[float, float, float, float]:
    """(x min, y min, x max, y max) of lines, arcs and cubics."""
    points: list[Point] = []
    for segment in segments:
        if isinstance(segment, Arc) and segment.is_circle:
            (x, y), r = segment.center, segment.radius_mm
            # Not from the angles: their rounding would show in a whole number's last digit.
            points += [(x - r, y - r), (x + r, y + r)]
            continue
        points += [segment.start, segment.end]
        if isinstance(segment, Arc):
            points += _arc_extremes(segment)
        elif isinstance(segment, Cubic):
            points += _cubic_extremes(segment)
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys), max(xs), max(ys))


def _arc_extremes(arc: Arc) -> list[Point]:
    (x, y), r = arc.center, arc.radius_mm
    sign = math.copysign(1.0, arc.sweep_rad)
    found = []
    for quarter, point in enumerate(((x + r, y), (x, y + r), (x - r, y), (x, y - r))):
        turn = (sign * (quarter * math.pi / 2.0 - arc.start_rad)) % (2.0 * math.pi)
        if turn <= abs(arc.sweep_rad):
            found.append(point)
    return found


def _cubic_extremes(cubic: Cubic) -> list[Point]:
    p = cubic.control_points
    d0, d1, d2 = p[1] - p[0], p[2] - p[1], p[3] - p[2]
    found = []
    for axis in (0, 1):
        a = d0[axis] - 2.0 * d1[axis] + d2[axis]
        b = 2.0 * (d1[axis] - d0[axis])
        coefficients = np.trim_zeros(np.array([a, b, d0[axis]]), "f")
        roots = np.roots(coefficients) if len(coefficients) > 1 else np.zeros(0)
        found += [
            cubic.point_at(float(t.real))
            for t in roots
            if abs(t.imag) < 1e-12 and 0.0 < t.real < 1.0
        ]
    return found
