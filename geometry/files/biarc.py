"""Cubics as circular arcs and short lines, for files that shall hold nothing else."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from ..arrays import Point, Points
from ..outline import Arc, Cubic, Line, Segment
from .distance import distance_mm

__all__ = ["CURVE_TOLERANCE_MM", "as_arcs", "without_cubics"]

CURVE_TOLERANCE_MM = 0.005
"""How far arcs that stand for a cubic may lie from it."""
FLATTEST_MM = 1e5
"""An arc of a larger radius is written as a line where that is as near."""
DEEPEST = 12
"""Halved so often a curve is in 4096 pieces: more is damage."""


def without_cubics(
    segments: Iterable[Segment], tolerance_mm: float = CURVE_TOLERANCE_MM
) -> tuple[Segment, ...]:
    """Return the chain with every cubic replaced by arcs and lines within the tolerance."""
    chain: list[Segment] = []
    for segment in segments:
        if isinstance(segment, Cubic):
            chain.extend(as_arcs(segment, tolerance_mm))
        else:
            chain.append(segment)
    return tuple(chain)


def as_arcs(cubic: Cubic, tolerance_mm: float = CURVE_TOLERANCE_MM) -> list[Line | Arc]:
    """Return arcs, joined smoothly, within ``tolerance_mm`` of a cubic; short lines where none fit.

    Each interval gets two arcs that share a tangent and take the cubic's end tangents, the one pair
    whose two tangent lengths are equal (D. S. Meek and D. J. Walton, “Approximating smooth planar
    curves by arc splines”, J. Comput. Appl. Math. 59, 1995, treat the family; from memory).
    """
    return _interval(cubic, 0.8 * tolerance_mm, 0)


def _interval(cubic: Cubic, tolerance_mm: float, depth: int) -> list[Line | Arc]:
    start, end = cubic.start, cubic.end
    samples = cubic.points_at(np.linspace(0.0, 1.0, 33)[1:-1])
    if math.dist(start, end) > 1e-9 and _miss([Line(start, end)], samples) < 0.02 * tolerance_mm:
        return [Line(start, end)]
    pair = _biarc(start, cubic.tangent_at(0.0), end, cubic.tangent_at(1.0))
    if pair and _miss(pair, samples) <= tolerance_mm:
        return pair
    if depth >= DEEPEST:
        return [Line(start, end)] if math.dist(start, end) > 0.0 else []
    first, second = _halves(cubic)
    return _interval(first, tolerance_mm, depth + 1) + _interval(second, tolerance_mm, depth + 1)


def _halves(cubic: Cubic) -> tuple[Cubic, Cubic]:
    """Split in the middle, de Casteljau."""
    p = cubic.control_points
    a = (p[:-1] + p[1:]) / 2.0
    b = (a[:-1] + a[1:]) / 2.0
    middle = _point((b[0] + b[1]) / 2.0)
    return (
        Cubic(cubic.start, _point(a[0]), _point(b[0]), middle),
        Cubic(middle, _point(b[1]), _point(a[2]), cubic.end),
    )


def _point(values: Points) -> Point:
    return (float(values[0]), float(values[1]))


def _biarc(p: Point, u: Point, q: Point, v: Point) -> list[Line | Arc]:
    """Two arcs from p (direction u) to q (direction v), or nothing where there are none."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    chord2 = dx * dx + dy * dy
    if chord2 < 1e-18:
        return []
    # Equal tangent lengths d solve 2 (1 - u·v) d² + 2 w·(u + v) d - w·w = 0, w = q - p.
    a = 2.0 * (1.0 - u[0] * v[0] - u[1] * v[1])
    b = dx * (u[0] + v[0]) + dy * (u[1] + v[1])
    if a < 1e-12:
        if b <= 1e-12:
            return []
        d = chord2 / (2.0 * b)
    else:
        d = (math.sqrt(b * b + a * chord2) - b) / a
    if not 0.0 < d < 1e3 * math.sqrt(chord2):
        return []
    m = (
        (p[0] + q[0] + d * (u[0] - v[0])) / 2.0,
        (p[1] + q[1] + d * (u[1] - v[1])) / 2.0,
    )
    first = _arc_from(p, u, m)
    last = _arc_from(q, (-v[0], -v[1]), m)
    return [first, last.reversed()] if first and last else []


def _arc_from(p: Point, u: Point, q: Point) -> Line | Arc | None:
    """Return the arc that leaves p along u and reaches q; less than half a turn only."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    along, across = u[0] * dx + u[1] * dy, u[0] * dy - u[1] * dx
    chord = math.hypot(dx, dy)
    if chord < 1e-7 or along <= 0.0:
        return None
    half = math.atan2(across, along)
    if abs(half) < chord / (2.0 * FLATTEST_MM):
        return Line(p, q)
    return Arc.from_bulge(p, q, math.tan(half / 2.0))


def _miss(pieces: list[Line | Arc], samples: Points) -> float:
    """Largest distance of the samples from the nearest of the pieces."""
    return float(distance_mm(samples, pieces).max())
