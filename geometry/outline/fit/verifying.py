"""Whether a fitted curve keeps to its points, both ways, and straight pieces where it does not."""

import itertools
import math

import numpy as np
import shapely

from ...arrays import FloatArray, Points
from ..curves import Line, Segment
from .chain import Chain, ChainPiece
from .spans import as_pair

__all__ = ["curve_within_tolerance", "repaired", "simple_lines", "within_tolerance"]

CHORD = 0.02
"""How far the drawn curve's chords may cut it short, in tolerances."""
MOST_SAMPLES = 2000
"""Chosen: a segment of 200 mm every 0.1 mm."""


def within_tolerance(
    segments: tuple[Segment, ...], points: Points, tolerance_mm: float, *, closed: bool
) -> bool:
    """Whether all points lie within tolerance of the curve, and the curve of their polyline.

    Parameters
    ----------
    segments
        The curve, in order.
    points
        (N, 2) mm that it was fitted to.
    tolerance_mm
        How far either may lie from the other.
    closed
        Whether both go round.
    """
    curve = shapely.LineString(_drawn(segments, tolerance_mm))
    there = _within(points, curve, (1.0 - CHORD) * tolerance_mm)
    return bool(there.all()) and curve_within_tolerance(
        segments, points, tolerance_mm, closed=closed
    )


def curve_within_tolerance(
    segments: tuple[Segment, ...], points: Points, tolerance_mm: float, *, closed: bool
) -> bool:
    """Whether the curve hangs together and lies within tolerance of the points' polyline.

    Nor may it cross itself where that does not.

    Parameters
    ----------
    segments
        The curve, in order.
    points
        (N, 2) mm that it was fitted to.
    tolerance_mm
        How far it may lie from their polyline.
    closed
        Whether both go round.
    """
    following = segments[1:] + segments[:1] if closed else segments[1:]
    if any(math.dist(a.end, b.start) > 1e-7 for a, b in zip(segments, following, strict=False)):
        return False
    polyline = shapely.LinearRing(points) if closed else shapely.LineString(points)
    curve = _drawn(segments, tolerance_mm)
    if not _within(curve, polyline, 0.999 * tolerance_mm).all():
        return False
    line = shapely.LinearRing(curve[:-1]) if closed else shapely.LineString(curve)
    return bool(line.is_simple or not polyline.is_simple)


def repaired(pieces: list[ChainPiece], chain: Chain, tolerance_mm: float) -> tuple[Segment, ...]:
    """Segments of a fit, with the points' own polyline in place of pieces that leave the tolerance.

    Parameters
    ----------
    pieces
        Of the fit, in order.
    chain
        The points they were fitted to.
    tolerance_mm
        How far a piece may lie from its points.
    """
    drawn = [_drawn((piece.segment,), tolerance_mm) for piece in pieces]
    curve = shapely.LineString(np.concatenate(drawn))
    polyline = shapely.LineString(chain.checks)
    good = [
        bool(
            _within(chain.checks[p.first : p.last + 1], curve, 0.95 * tolerance_mm).all()
            and _within(own, polyline, 0.95 * tolerance_mm).all()
        )
        for p, own in zip(pieces, drawn, strict=True)
    ]
    result: list[Segment] = []
    for k, piece in enumerate(pieces):
        if good[k]:
            result.append(piece.segment)
            continue
        run = chain.checks[piece.first : piece.last + 1].copy()
        # A joint shared with a good piece stays; between two bad ones the point itself is taken.
        if (chain.closed or k > 0) and good[k - 1]:
            run[0] = pieces[k - 1].segment.end
        if (chain.closed or k < len(pieces) - 1) and good[(k + 1) % len(pieces)]:
            run[-1] = pieces[(k + 1) % len(pieces)].segment.start
        inner = run[1:-1]
        if len(inner) > 1:
            inner = _simplified(inner, 0.9 * tolerance_mm)
        corners = [as_pair(p) for p in (run[0], *inner, run[-1])]
        result.extend(Line(a, b) for a, b in itertools.pairwise(corners) if a != b)
    return tuple(result)


def simple_lines(ring: Points, tolerance_mm: float) -> tuple[Segment, ...]:
    """Straight lines between few of a ring's own points, the others within tolerance of them."""
    corners = [as_pair(p) for p in _simplified(np.vstack((ring, ring[:1])), tolerance_mm)[:-1]]
    if len(corners) < 3:
        corners = [as_pair(p) for p in ring]
    return tuple(Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))


def _simplified(points: Points, tolerance_mm: float) -> Points:
    line = shapely.LineString(points).simplify(tolerance_mm, preserve_topology=False)
    return shapely.get_coordinates(line)


def _drawn(segments: tuple[Segment, ...], tolerance_mm: float) -> Points:
    """(N, 2) points along a curve, none far apart, the last end included."""
    parts = []
    for segment in segments:
        count = int(min(max(2.0, np.ceil(segment.length_mm / tolerance_mm)), MOST_SAMPLES))
        if not isinstance(segment, Line):
            count = max(count, len(segment.flatten(0.2 * CHORD * tolerance_mm)))
        parts.append(segment.points_at(np.arange(count) / count))
    return np.concatenate((*parts, np.array([segments[-1].end])))


def _within(points: Points, line: shapely.Geometry, distance_mm: float) -> FloatArray:
    shapely.prepare(line)
    return shapely.dwithin(line, shapely.points(points), distance_mm)
