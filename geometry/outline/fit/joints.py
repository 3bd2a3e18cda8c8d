"""Where neighbouring supports meet, and the segments between those places.

Corners are where two of them cross, smooth joints where they touch, else the places found by the
search.
"""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ..curves import Arc, Cubic, Line, Segment
from .chain import Chain, ChainPiece, cached
from .mirroring import mirror_of
from .spans import as_pair
from .tangency import Support, crossing, make_tangent, touch_gap, touch_point

__all__ = ["joined", "piece_length", "touching_supports"]

MOST_EASED = 8
"""Joints given up one by one before all are."""
REINED = 0.97
"""Tolerances that a corner may jut out from the nearest point."""


def touching_supports(supports: list[Support | None], tangent: list[bool]) -> list[Support | None]:
    """Supports that touch where marked; unmarks those that cannot all be made to."""
    for _ in range(MOST_EASED):
        moved = list(supports)
        if make_tangent(moved, tangent):
            return moved
        worst, most = 0, -1.0
        for k in range(len(supports)):
            one, two = supports[k - 1], supports[k]
            if tangent[k] and one is not None and two is not None:
                deviation = touch_gap(one, two)
                worst, most = (k, deviation) if deviation > most else (worst, most)
        tangent[worst] = False
    tangent[:] = [False] * len(tangent)
    return list(supports)


def joined(
    pieces: list[ChainPiece],
    supports: list[Support | None],
    tangent: list[bool],
    at_knots: NDArray[np.bool_],
    chain: Chain,
) -> list[ChainPiece]:
    """Pieces cut and lengthened to the places where their lines, circles and curves meet.

    Parameters
    ----------
    pieces
        As the search found them, in order.
    supports
        The whole line or circle of each; None of cubics.
    tangent
        Whether each touches its forerunner rather than crossing it.
    at_knots
        (P,) whether each is held to the knots that the search found.
    chain
        What the pieces were found on.
    """
    joints = _joints(pieces, supports, tangent, at_knots, chain)
    return _build(pieces, supports, joints, at_knots, chain)


def _joints(
    pieces: list[ChainPiece],
    supports: list[Support | None],
    tangent: list[bool],
    at_knots: NDArray[np.bool_],
    chain: Chain,
) -> Points:
    """(P + 1, 2) places where pieces meet: where they touch or cross, else their knots."""
    count = len(pieces)
    knots = np.array([p.start for p in pieces] + [pieces[-1].end])
    joints = knots.copy()
    for k in (0, count - 1):
        mirror, support = mirror_of(pieces[k], chain), supports[k]
        # What passes a mirror axis may do so beside the knot.
        if mirror is not None and support is not None and not at_knots[k]:
            end = 0 if mirror.at_start else -1
            joints[end] = support.nearest(knots[end])
    for k in range(0 if chain.closed else 1, count):
        if at_knots[k - 1] or at_knots[k]:
            continue
        place = _joint(supports[k - 1], supports[k], tangent[k], knots[k])
        if not tangent[k]:
            place = _reined(place, (pieces[k - 1], pieces[k]), chain)
        if np.hypot(*(place - knots[k])) <= 4.0 * chain.tolerance_mm or tangent[k]:
            joints[k] = place
    if chain.closed:
        joints[-1] = joints[0]
    # Two joints in one place would leave no piece between them.
    for k in np.flatnonzero(np.hypot(*np.diff(joints, axis=0).T) < 1e-6):
        joints[k], joints[k + 1] = knots[k], knots[k + 1]
    if chain.closed:
        joints[-1] = joints[0]
    return joints


def _reined(place: FloatArray, beside: tuple[ChainPiece, ChainPiece], chain: Chain) -> FloatArray:
    """A corner drawn in where it juts out beyond the tolerance from all points beside it."""
    run = np.concatenate([chain.checks[p.first : p.last + 1] for p in beside])
    far = np.hypot(*(run - place).T)
    k, most = int(far.argmin()), REINED * chain.tolerance_mm
    if far[k] <= most:
        return place
    drawn: FloatArray = run[k] + (place - run[k]) * (most / far[k])
    return drawn


def _joint(
    before: Support | None, after: Support | None, tangent: bool, knot: FloatArray
) -> FloatArray:
    """Where two supports meet near a knot; the knot itself where nothing better is known."""
    if before is None or after is None:
        other = before or after
        return knot if other is None else other.nearest(knot)
    if tangent and (before.radius > 0.0 or after.radius > 0.0):
        touch = touch_point(before, after)
        return knot if touch is None else touch
    place = crossing(before, after, knot)
    return knot if place is None else place


def _build(
    pieces: list[ChainPiece],
    supports: list[Support | None],
    joints: Points,
    at_knots: NDArray[np.bool_],
    chain: Chain,
) -> list[ChainPiece]:
    """Pieces between the joints."""
    built = []
    for k, piece in enumerate(pieces):
        start, end = joints[k], joints[k + 1]
        support = None if at_knots[k] else supports[k]
        segment = _between(piece.segment, support, start, end)
        if isinstance(segment, Arc) and abs(segment.sweep_rad) > math.pi:
            # Turned against its points, or its joints having changed places, it goes the long way.
            far = segment.length_mm > 2.0 * piece_length(piece, chain) + 8.0 * chain.tolerance_mm
            segment = Line(as_pair(start), as_pair(end)) if far else segment
        mirror = mirror_of(piece, chain)
        if support is None and mirror is not None and isinstance(segment, Arc):
            segment = _arc_along(mirror.direction, start, end, at_start=mirror.at_start)
        built.append(replace(piece, segment=segment))
    return built


def _arc_along(
    direction: FloatArray, start: FloatArray, end: FloatArray, *, at_start: bool
) -> Segment:
    """The arc between two places that has a direction at the one or the other."""
    (x, y), (u, v) = end - start, direction
    # A quarter of the sweep is half of what the chord turns away from it.
    turn = (
        math.atan2(u * y - v * x, u * x + v * y)
        if at_start
        else math.atan2(x * v - y * u, u * x + v * y)
    )
    if abs(turn) < 1e-9:
        return Line(as_pair(start), as_pair(end))
    return Arc.from_bulge(as_pair(start), as_pair(end), math.tan(turn / 2.0))


def _between(old: Segment, support: Support | None, start: FloatArray, end: FloatArray) -> Segment:
    a, b = as_pair(start), as_pair(end)
    if math.dist(a, b) < 1e-9:
        return old
    if isinstance(old, Line):
        return Line(a, b)
    if isinstance(old, Arc):
        bulge = old.bulge
        if support is not None:
            bulge = support.bulge(start, end)
        return Arc.from_bulge(a, b, bulge)
    move0, move1 = start - np.asarray(old.start), end - np.asarray(old.end)
    return Cubic(
        a,
        as_pair(np.asarray(old.control1) + move0),
        as_pair(np.asarray(old.control2) + move1),
        b,
    )


def piece_length(piece: ChainPiece, chain: Chain) -> float:
    """Length, mm, of the polyline of a piece's points."""
    run = chain.smoothed[piece.first : piece.last + 1]
    return cached(
        chain.cache.lengths,
        (piece.first, piece.last),
        lambda: float(np.hypot(*np.diff(run, axis=0).T).sum()),
    )
