"""Outlines as chains of Bézier knots, the way curve editors hold them, and back.

A knot is its left handle, its point and its right handle. An arc becomes pieces of at most 45°;
eight of them hold a 100 mm circle to a quarter of a micrometre. Coming back, a piece whose handles
are those of an arc is that arc again, whatever was done to the curve in between: nothing needs to
be remembered, and an edited piece is what it now is.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from ...arrays import Point, Points
from .profile import Loop
from .segments import Arc, Cubic, Line, Segment

__all__ = [
    "chain_from_knots",
    "chain_to_knots",
    "loop_from_knots",
    "loop_to_knots",
    "segment_between",
]

PIECE_RAD = math.pi / 4.0
"""An eighth of a circle: a cubic lies within 4e-6 of the radius (error grows with the sixth power
of the turn)."""


def loop_to_knots(loop: Loop) -> tuple[Points, tuple[bool, ...]]:
    """Return (N, 3, 2) knots (left handle, point, right handle) and which pieces are straight.

    Piece i runs from knot i to knot i + 1, the last one back to the first.
    """
    pieces = [piece for segment in loop.segments for piece in _pieces(segment)]
    knots = np.zeros((len(pieces), 3, 2))
    for i, (start, control1, control2, _, _) in enumerate(pieces):
        knots[i, 1], knots[i, 2] = start, control1
        knots[(i + 1) % len(pieces), 0] = control2
    return knots, tuple(piece[4] for piece in pieces)


def loop_from_knots(knots_mm: Points, tolerance_mm: float = 1e-4) -> Loop:
    """Return the loop that closed (N, 3, 2) knots draw.

    Pieces within ``tolerance_mm`` of a straight line or of an arc become one; neighbouring pieces
    of one circle become one arc.
    """
    knots = np.asarray(knots_mm, dtype=np.float64)
    following = np.roll(knots, -1, axis=0)
    segments = [
        segment_between(a, b, c, d, tolerance_mm)
        for a, b, c, d in zip(
            knots[:, 1], knots[:, 2], following[:, 0], following[:, 1], strict=True
        )
        if math.dist(a, d) > 1e-9 or math.dist(a, b) > 1e-9
    ]
    return Loop(tuple(_merge_arcs(segments, tolerance_mm)))


def chain_to_knots(chain: Sequence[Segment]) -> tuple[Points, tuple[bool, ...]]:
    """Return (N, 3, 2) knots of an open chain and which pieces between them are straight."""
    pieces = [piece for segment in chain for piece in _pieces(segment)]
    knots = np.zeros((len(pieces) + 1, 3, 2))
    for i, (start, control1, control2, end, _) in enumerate(pieces):
        knots[i, 1], knots[i, 2] = start, control1
        knots[i + 1, 0], knots[i + 1, 1] = control2, end
    knots[0, 0], knots[-1, 2] = knots[0, 1], knots[-1, 1]
    return knots, tuple(piece[4] for piece in pieces)


def chain_from_knots(knots_mm: Points, tolerance_mm: float = 1e-4) -> tuple[Segment, ...]:
    """Return the chain that open (N, 3, 2) knots draw; see `loop_from_knots`."""
    knots = np.asarray(knots_mm, dtype=np.float64)
    segments = [
        segment_between(a[1], a[2], b[0], b[1], tolerance_mm)
        for a, b in pairwise(knots)
        if math.dist(a[1], b[1]) > 1e-9 or math.dist(a[1], a[2]) > 1e-9
    ]
    return tuple(_merged(segments, tolerance_mm))


_Piece = tuple[Point, Point, Point, Point, bool]


def _pieces(segment: Segment) -> list[_Piece]:
    if isinstance(segment, Line):
        return [
            (segment.start, segment.point_at(1 / 3), segment.point_at(2 / 3), segment.end, True)
        ]
    if isinstance(segment, Cubic):
        return [(segment.start, segment.control1, segment.control2, segment.end, False)]
    count = math.ceil(abs(segment.sweep_rad) / PIECE_RAD - 1e-9)
    step = segment.sweep_rad / count
    handle = 4.0 / 3.0 * math.tan(step / 4.0) * segment.radius_mm
    pieces: list[_Piece] = []
    for i in range(count):
        a, b = segment.start_rad + i * step, segment.start_rad + (i + 1) * step
        (sx, sy), (ex, ey) = segment.at_angle(a), segment.at_angle(b)
        control1 = (sx - handle * math.sin(a), sy + handle * math.cos(a))
        control2 = (ex + handle * math.sin(b), ey - handle * math.cos(b))
        pieces.append(((sx, sy), control1, control2, (ex, ey), False))
    return pieces


def segment_between(
    a: Points, b: Points, c: Points, d: Points, tolerance_mm: float = 1e-4
) -> Segment:
    """Return the line, arc or cubic that four control points draw.

    Parameters
    ----------
    a, b, c, d
        (2,) control points, mm.
    tolerance_mm
        How near a line or arc must lie to be taken for one.

    Examples
    --------
    >>> type(segment_between(*np.array([(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0)]))).__name__
    'Line'
    """
    start, end = _point(a), _point(d)
    chord = d - a
    length = math.hypot(*chord)
    if length > 0.0:
        across = np.array([-chord[1], chord[0]]) / length
        along = chord / length
        off = max(abs(float((b - a) @ across)), abs(float((c - a) @ across)))
        if off < tolerance_mm and _between(b - a, along, length) and _between(c - a, along, length):
            return Line(start, end)
        arc = _arc(a, b, c, d, tolerance_mm)
        if arc is not None:
            return arc
    return Cubic(start, _point(b), _point(c), end)


def _between(offset: Points, along: Points, length: float) -> bool:
    return -1e-9 * length <= float(offset @ along) <= length * (1.0 + 1e-9)


def _arc(a: Points, b: Points, c: Points, d: Points, tolerance_mm: float) -> Arc | None:
    """Return the arc whose standard handles these are, or None."""
    chord = d - a
    length = math.hypot(*chord)
    along = chord / length
    across = np.array([-along[1], along[0]])
    first = np.array([float((b - a) @ along), float((b - a) @ across)])
    last = np.array([float((d - c) @ along), float((d - c) @ across)])
    # The two handles of an arc mirror each other in the chord's bisector.
    if max(abs(first[0] - last[0]), abs(first[1] + last[1])) > tolerance_mm:
        return None
    handle = (first + last * (1.0, -1.0)) / 2.0
    half = math.atan2(-handle[1], handle[0])  # half the sweep, positive counter-clockwise
    if not 1e-6 < abs(half) < math.pi / 2.0:
        return None
    radius = length / (2.0 * math.sin(abs(half)))
    wanted = 4.0 / 3.0 * math.tan(abs(half) / 2.0) * radius
    if abs(math.hypot(*handle) - wanted) > tolerance_mm:
        return None
    return Arc.from_bulge(_point(a), _point(d), math.tan(half / 2.0))


def _merge_arcs(segments: Sequence[Segment], tolerance_mm: float) -> list[Segment]:
    """Join neighbouring arcs of one circle; also across the start of the loop."""
    merged = _merged(segments, tolerance_mm)
    if len(merged) > 1:
        joined = _join(merged[-1], merged[0], tolerance_mm)
        if joined is not None:
            merged = [joined, *merged[1:-1]]
    return merged


def _merged(segments: Sequence[Segment], tolerance_mm: float) -> list[Segment]:
    """Join neighbouring arcs of one circle."""
    merged: list[Segment] = []
    for segment in segments:
        joined = _join(merged[-1], segment, tolerance_mm) if merged else None
        if joined is None:
            merged.append(segment)
        else:
            merged[-1] = joined
    return merged


def _join(first: Segment, second: Segment, tolerance_mm: float) -> Arc | None:
    if not (isinstance(first, Arc) and isinstance(second, Arc)):
        return None
    sweep = first.sweep_rad + second.sweep_rad
    if first.sweep_rad * second.sweep_rad <= 0.0 or abs(sweep) > 2.0 * math.pi + 1e-4:
        return None
    # Three well-spread points make the circle; both arcs' own points must lie on it.
    tested = [first.point_at(0.5), first.end, second.point_at(0.5), second.end]
    if math.dist(first.start, second.end) < tolerance_mm and abs(sweep) > math.pi:
        whole = Arc.through(first.start, first.end, second.point_at(0.5))
        whole = Arc(
            whole.center,
            whole.radius_mm,
            whole.start_rad,
            math.copysign(2.0 * math.pi, sweep),
        )
    else:
        try:
            whole = Arc.through(first.start, first.end, second.end)
        except ValueError:
            return None
        if abs(whole.sweep_rad - sweep) > 1e-3:
            return None
    off = max(abs(math.dist(whole.center, p) - whole.radius_mm) for p in tested)
    return whole if off < tolerance_mm else None


def _point(p: Points) -> Point:
    return (float(p[0]), float(p[1]))
