"""Lay pieces through their points and join them: one refit, held tighter where pieces stray.

Each line and arc is first laid through its own points alone (least squares); corners are where
two of them cross, smooth joints where they touch. What then strays from its points is held one
step tighter to them, until nothing does.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from enum import IntEnum
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from ..curves import Arc, Cubic, Line, turn_at
from .chain import Chain, ChainPiece, cached
from .joints import joined, piece_length, touching_supports
from .simplifying import coalesced, drop_redundant, inner_checks, support_of
from .spans import as_pair, cubic_through_run, distances
from .tangency import minimax_refit

__all__ = ["join_pieces"]

SHARED = 0.3
"""Fraction of its neighbours that a piece may grow over."""
MOST_TRIED = 20
"""Times that joints are made again."""
MOST_PIECES = 200
"""Beyond this an outline is all noise, and there are no joints worth making better."""
MOST_TURN_RAD = 0.35
"""Pieces that the search had meet at a larger turn are not made to touch."""


class Hold(IntEnum):
    """How tightly a piece is held to its points, one step after the other where it strays."""

    LEAST_SQUARES = 0
    """Laid through its points, touching its neighbours where it meets them smoothly."""
    MINIMAX = 1
    """Moved to where its farthest point is as near as can be."""
    CORNERED = 2
    """Crossing its neighbours, no longer touching them."""
    AT_KNOTS = 3
    """Between the knots that the search found."""


def join_pieces(pieces: list[ChainPiece], chain: Chain) -> tuple[list[ChainPiece], int]:
    """Pieces that meet exactly, and how many of them some of their checks stray from.

    Where that are any, the fewest are left to be repaired.
    """
    if len(pieces) > MOST_PIECES:
        held = _with_smooth_cubics(pieces, chain)
        return held, int((_deviations(held, chain) > chain.tolerance_mm).sum())
    simpler = drop_redundant(coalesced(pieces, chain), chain)
    best, fewest = _refit(simpler, chain)
    if fewest and simpler != pieces:
        again, astray = _refit(pieces, chain)
        best, fewest = (again, astray) if astray < fewest else (best, fewest)
    return best, fewest


def _refit(pieces: list[ChainPiece], chain: Chain) -> tuple[list[ChainPiece], int]:
    """Pieces laid through their points and joined, and how many of them some checks stray from.

    A piece that strays is held one step tighter, until none does or all that do are held to their
    knots.
    """
    count = len(pieces)
    supports = [support_of(piece, chain) for piece in pieces]
    tangent = [_is_tangent(pieces, k, chain) for k in range(count)]
    # A guide is laid through the middle of its points, however far single ones lie.
    holds = np.full(count, Hold.LEAST_SQUARES if chain.room_mm > 0.0 else Hold.MINIMAX)
    best, fewest = pieces, count + 1
    for _ in range(min(2 * count + 4, MOST_TRIED)):
        at_knots = holds >= Hold.AT_KNOTS
        touching = touching_supports(supports, tangent)
        built = joined(pieces, touching, tangent, at_knots, chain)
        built = _with_smooth_cubics(built, chain)
        astray = (_deviations(built, chain) > chain.tolerance_mm) | _reversed(pieces, built)
        if astray.sum() < fewest:
            best, fewest = built, int(astray.sum())
        if not astray.any() or at_knots[astray].all():
            break
        loose = astray & (holds == Hold.LEAST_SQUARES)
        astray = loose if loose.any() else astray
        holds[astray] += 1
        for k in np.flatnonzero(astray & (holds == Hold.MINIMAX)):
            support, run = supports[k], inner_checks(pieces[k], chain)
            supports[k] = support and minimax_refit(support, run)
        for k in np.flatnonzero(astray & (holds == Hold.CORNERED)):
            tangent[k] = tangent[(k + 1) % count] = False
    return best, fewest


def _reversed(pieces: list[ChainPiece], built: list[ChainPiece]) -> NDArray[np.bool_]:
    """(P,) whether a line or an open arc runs back, its joints having changed places."""
    back = np.zeros(len(pieces), dtype=bool)
    for k, (old, new) in enumerate(zip(pieces, built, strict=True)):
        one, two = old.segment, new.segment
        # The chord of half a turn or more may point either way.
        if isinstance(two, Line) or (isinstance(two, Arc) and abs(two.sweep_rad) < math.pi):
            (ax, ay), (bx, by), (cx, cy), (dx, dy) = one.start, one.end, two.start, two.end
            back[k] = (bx - ax) * (dx - cx) + (by - ay) * (dy - cy) < 0.0
    return back


def _is_tangent(pieces: list[ChainPiece], k: int, chain: Chain) -> bool:
    """Whether piece k leaves its forerunner smoothly."""
    if (k == 0 and not chain.closed) or not pieces[k].smooth_start:
        return False
    return abs(turn_at(pieces[k - 1].segment, pieces[k].segment)) < MOST_TURN_RAD


def _deviations(pieces: list[ChainPiece], chain: Chain) -> FloatArray:
    """(P,) largest distance of each piece's checks to it or its neighbours."""
    worst = np.zeros(len(pieces))
    for k, piece in enumerate(pieces):
        beside = [k - 1, (k + 1) % len(pieces)]
        if not chain.closed:
            beside = [j for j in (k - 1, k + 1) if 0 <= j < len(pieces)]
        key = (piece, *(pieces[j] for j in beside))
        worst[k] = cached(chain.cache.deviations, key, partial(_deviation, piece, key[1:], chain))
    return worst


def _deviation(piece: ChainPiece, others: Sequence[ChainPiece], chain: Chain) -> float:
    """Largest distance of a piece's checks to it or the others; infinite where it wanders off."""
    run = chain.checks[piece.first : piece.last + 1]
    near = distances(piece.segment, run)
    late = near > chain.tolerance_mm
    # A piece much longer than its points wanders off between them; where curves bend almost alike
    # the place where they touch takes some of its neighbours' way.
    most = 1.2 * piece_length(piece, chain) + 8.0 * chain.tolerance_mm
    for other in others:
        most += SHARED * piece_length(other, chain)
        if late.any():
            near[late] = np.minimum(near[late], distances(other.segment, run[late]))
    return math.inf if piece.segment.length_mm >= most else float(near.max())


def _with_smooth_cubics(pieces: list[ChainPiece], chain: Chain) -> list[ChainPiece]:
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
    piece: ChainPiece, start: FloatArray | None, end: FloatArray | None, chain: Chain
) -> tuple[Cubic, float] | None:
    """Cubic through a piece's points in directions held at its ends, and how far it strays."""

    def make() -> tuple[Cubic, float] | None:
        own = slice(piece.first, piece.last + 1)
        run = chain.smoothed[own].copy()
        run[0], run[-1] = piece.segment.start, piece.segment.end
        weights = None if chain.weights is None else chain.weights[own]
        return cubic_through_run(run, chain.checks[own], start, end, weights)

    held = (None if start is None else as_pair(start), None if end is None else as_pair(end))
    ends = (piece.segment.start, piece.segment.end)
    return cached(chain.cache.cubics, (piece.first, piece.last, *ends, *held), make)
