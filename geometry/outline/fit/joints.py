"""Make neighbouring segments meet as drawn: corners sharp, smooth places tangent.

Each line and arc is first laid through its own points alone (least squares); corners are where
two of them cross, smooth joints where they touch. Whatever then strays is taken back.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from enum import IntEnum
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ..curves import Arc, Cubic, Line, Segment, turn_at
from .chain import Chain, Piece, cached
from .merging import inner_checks, merged, spared, support_of
from .mirroring import mirror_of
from .spans import as_pair, cubic_through_run, distances
from .tangency import Support, crossing, make_tangent, tightened, touch_gap, touch_point

__all__ = ["join_pieces"]

MOST_EASED = 8
"""Joints given up one by one before all are."""
SHARED = 0.3
"""Share of its neighbours that a piece may grow over."""
REINED = 0.97
"""Tolerances that a corner may jut out from the nearest point."""
MOST_TRIED = 20
"""Times that joints are made again."""
MOST_PIECES = 200
"""Beyond this an outline is all noise, and there are no joints worth making better."""


class Hold(IntEnum):
    """How tightly a piece is held to its points, one step after the other where it strays."""

    LEAST_SQUARES = 0
    """Laid through its points, touching its neighbours where it meets them smoothly."""
    MINIMAX = 1
    """Moved to where its farthest point is as near as can be."""
    CORNERED = 2
    """Crossing its neighbours, no longer touching them."""
    AT_NODES = 3
    """Between the nodes that the search found."""


def join_pieces(pieces: list[Piece], chain: Chain) -> tuple[list[Piece], int]:
    """Pieces that meet exactly, and how many of them some of their checks stray from.

    Where that are any, the fewest are left to be repaired.
    """
    if len(pieces) > MOST_PIECES:
        held = _with_smooth_cubics(pieces, chain)
        return held, int((_strays(held, chain) > chain.tolerance_mm).sum())
    simpler = spared(merged(pieces, chain), chain)
    best, fewest = _refit(simpler, chain)
    if fewest and simpler != pieces:
        again, astray = _refit(pieces, chain)
        best, fewest = (again, astray) if astray < fewest else (best, fewest)
    return best, fewest


def _refit(pieces: list[Piece], chain: Chain) -> tuple[list[Piece], int]:
    """Pieces laid through their points and joined, and how many of them some checks stray from.

    A piece that strays is held one step tighter, until none does or all that do are held to their
    nodes.
    """
    count = len(pieces)
    supports = [support_of(piece, chain) for piece in pieces]
    tangent = [_is_tangent(pieces, k, chain) for k in range(count)]
    # A guide is laid through the middle of its points, however far single ones lie.
    holds = np.full(count, Hold.LEAST_SQUARES if chain.room_mm > 0.0 else Hold.MINIMAX)
    best, fewest = pieces, count + 1
    for _ in range(min(2 * count + 4, MOST_TRIED)):
        at_nodes = holds >= Hold.AT_NODES
        touching = _touching(supports, tangent)
        joints = _joints(pieces, touching, tangent, at_nodes, chain)
        built = _build(pieces, touching, joints, at_nodes, chain)
        built = _with_smooth_cubics(built, chain)
        astray = (_strays(built, chain) > chain.tolerance_mm) | _reversed(pieces, built)
        if astray.sum() < fewest:
            best, fewest = built, int(astray.sum())
        if not astray.any() or at_nodes[astray].all():
            break
        loose = astray & (holds == Hold.LEAST_SQUARES)
        astray = loose if loose.any() else astray
        holds[astray] += 1
        for k in np.flatnonzero(astray & (holds == Hold.MINIMAX)):
            support, run = supports[k], inner_checks(pieces[k], chain)
            supports[k] = support and tightened(support, run)
        for k in np.flatnonzero(astray & (holds == Hold.CORNERED)):
            tangent[k] = tangent[(k + 1) % count] = False
    return best, fewest


def _reversed(pieces: list[Piece], built: list[Piece]) -> NDArray[np.bool_]:
    """(P,) whether a line or an open arc runs back, its joints having changed places."""
    ways = [
        [np.subtract(p.segment.end, p.segment.start) for p in chain] for chain in (pieces, built)
    ]
    # The chord of half a turn or more may point either way.
    plain = np.array(
        [
            isinstance(s, Line) or (isinstance(s, Arc) and abs(s.sweep_rad) < math.pi)
            for s in (p.segment for p in built)
        ]
    )
    back: NDArray[np.bool_] = plain & (np.einsum("ij,ij->i", *map(np.array, ways)) < 0.0)
    return back


def _touching(supports: list[Support | None], tangent: list[bool]) -> list[Support | None]:
    """Supports that touch where marked; unmarks those that cannot all be made to."""
    for _ in range(MOST_EASED):
        moved = list(supports)
        if make_tangent(moved, tangent):
            return moved
        worst, most = 0, -1.0
        for k in range(len(supports)):
            one, two = supports[k - 1], supports[k]
            if tangent[k] and one is not None and two is not None:
                miss = touch_gap(one, two)
                worst, most = (k, miss) if miss > most else (worst, most)
        tangent[worst] = False
    tangent[:] = [False] * len(tangent)
    return list(supports)


def _joints(
    pieces: list[Piece],
    supports: list[Support | None],
    tangent: list[bool],
    at_nodes: NDArray[np.bool_],
    chain: Chain,
) -> Points:
    """(P + 1, 2) places where pieces meet: where they touch or cross, else their nodes."""
    count = len(pieces)
    nodes = np.array([p.start for p in pieces] + [pieces[-1].end])
    joints = nodes.copy()
    for k in (0, count - 1):
        mirror, support = mirror_of(pieces[k], chain), supports[k]
        # What passes a mirror axis may do so beside the node.
        if mirror is not None and support is not None and not at_nodes[k]:
            end = 0 if mirror.at_start else -1
            joints[end] = support.nearest(nodes[end])
    for k in range(0 if chain.closed else 1, count):
        if at_nodes[k - 1] or at_nodes[k]:
            continue
        place = _joint(supports[k - 1], supports[k], tangent[k], nodes[k])
        if not tangent[k]:
            place = _reined(place, (pieces[k - 1], pieces[k]), chain)
        if np.hypot(*(place - nodes[k])) <= 4.0 * chain.tolerance_mm or tangent[k]:
            joints[k] = place
    if chain.closed:
        joints[-1] = joints[0]
    # Two joints in one place would leave no piece between them.
    for k in np.flatnonzero(np.hypot(*np.diff(joints, axis=0).T) < 1e-6):
        joints[k], joints[k + 1] = nodes[k], nodes[k + 1]
    if chain.closed:
        joints[-1] = joints[0]
    return joints


def _reined(place: FloatArray, beside: tuple[Piece, Piece], chain: Chain) -> FloatArray:
    """A corner drawn in where it juts out beyond the tolerance from all points beside it."""
    run = np.concatenate([chain.checks[p.first : p.last + 1] for p in beside])
    far = np.hypot(*(run - place).T)
    k, most = int(far.argmin()), REINED * chain.tolerance_mm
    if far[k] <= most:
        return place
    drawn: FloatArray = run[k] + (place - run[k]) * (most / far[k])
    return drawn


def _is_tangent(pieces: list[Piece], k: int, chain: Chain) -> bool:
    """Whether piece k leaves its forerunner smoothly."""
    if (k == 0 and not chain.closed) or not pieces[k].smooth_start:
        return False
    return abs(turn_at(pieces[k - 1].segment, pieces[k].segment)) < 0.35


def _joint(
    before: Support | None, after: Support | None, tangent: bool, node: FloatArray
) -> FloatArray:
    """Where two supports meet near a node; the node itself where nothing better is known."""
    if before is None or after is None:
        other = before or after
        return node if other is None else other.nearest(node)
    if tangent and (before.radius > 0.0 or after.radius > 0.0):
        touch = touch_point(before, after)
        return node if touch is None else touch
    place = crossing(before, after, node)
    return node if place is None else place


def _build(
    pieces: list[Piece],
    supports: list[Support | None],
    joints: Points,
    at_nodes: NDArray[np.bool_],
    chain: Chain,
) -> list[Piece]:
    """Pieces between the joints."""
    built = []
    for k, piece in enumerate(pieces):
        start, end = joints[k], joints[k + 1]
        support = None if at_nodes[k] else supports[k]
        segment = _between(piece.segment, support, start, end)
        if isinstance(segment, Arc) and abs(segment.sweep_rad) > math.pi:
            # Turned against its points, or its joints having changed places, it goes the long way.
            far = segment.length_mm > 2.0 * _way(piece, chain) + 8.0 * chain.tolerance_mm
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


def _strays(pieces: list[Piece], chain: Chain) -> FloatArray:
    """(P,) largest distance of each piece's checks to it or its neighbours."""
    worst = np.zeros(len(pieces))
    for k, piece in enumerate(pieces):
        beside = [k - 1, (k + 1) % len(pieces)]
        if not chain.closed:
            beside = [j for j in (k - 1, k + 1) if 0 <= j < len(pieces)]
        key = (piece, *(pieces[j] for j in beside))
        worst[k] = cached(chain.cache.strays, key, partial(_stray, piece, key[1:], chain))
    return worst


def _stray(piece: Piece, others: Sequence[Piece], chain: Chain) -> float:
    """Largest distance of a piece's checks to it or the others; infinite where it wanders off."""
    run = chain.checks[piece.first : piece.last + 1]
    near = distances(piece.segment, run)
    late = near > chain.tolerance_mm
    # A piece much longer than its points wanders off between them; where curves bend almost alike
    # the place where they touch takes some of its neighbours' way.
    most = 1.2 * _way(piece, chain) + 8.0 * chain.tolerance_mm
    for other in others:
        most += SHARED * _way(other, chain)
        if late.any():
            near[late] = np.minimum(near[late], distances(other.segment, run[late]))
    return math.inf if piece.segment.length_mm >= most else float(near.max())


def _way(piece: Piece, chain: Chain) -> float:
    """Length of a piece's points, mm."""
    run = chain.even[piece.first : piece.last + 1]
    return cached(
        chain.cache.lengths,
        (piece.first, piece.last),
        lambda: float(np.hypot(*np.diff(run, axis=0).T).sum()),
    )


def _with_smooth_cubics(pieces: list[Piece], chain: Chain) -> list[Piece]:
    """Pieces whose cubics set out and arrive along the line or arc they follow or lead to."""
    result = list(pieces)
    count = len(pieces)
    for k, piece in enumerate(pieces):
        if not isinstance(piece.segment, Cubic):
            continue
        start = piece.start_direction if piece.smooth_start else None
        end = piece.end_direction if piece.smooth_end else None
        if start is not None and (chain.closed or k > 0):
            before = result[k - 1].segment
            start = start if isinstance(before, Cubic) else np.array(before.tangent_at(1.0))
        if end is not None and (chain.closed or k < count - 1):
            after = result[(k + 1) % count].segment
            end = end if isinstance(after, Cubic) else np.array(after.tangent_at(0.0))
        found = _smooth_cubic(piece, start, end, chain)
        if found is not None and found[1] <= chain.tolerance_mm:
            result[k] = replace(piece, segment=found[0])
    return result


def _smooth_cubic(
    piece: Piece, start: FloatArray | None, end: FloatArray | None, chain: Chain
) -> tuple[Cubic, float] | None:
    """Cubic through a piece's points in directions held at its ends, and how far it strays."""

    def make() -> tuple[Cubic, float] | None:
        own = slice(piece.first, piece.last + 1)
        run = chain.even[own].copy()
        run[0], run[-1] = piece.segment.start, piece.segment.end
        weights = None if chain.weights is None else chain.weights[own]
        return cubic_through_run(run, chain.checks[own], start, end, weights)

    held = (None if start is None else as_pair(start), None if end is None else as_pair(end))
    ends = (piece.segment.start, piece.segment.end)
    return cached(chain.cache.cubics, (piece.first, piece.last, *ends, *held), make)
