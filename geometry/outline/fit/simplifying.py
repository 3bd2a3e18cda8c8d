"""Pieces that more of their points together allow: two made one, a cut corner made whole."""

import math
from dataclasses import replace

import numpy as np

from ...arrays import FloatArray, Points, subsample, turn_between
from ...errors import OutlineError
from ..curves import Arc, Cubic, Line, Segment, turn_at
from .chain import Chain, ChainPiece, cached
from .circle_fit import fit_circle, fit_line
from .mirroring import mirror_of
from .spans import as_pair, distances
from .tangency import Support, covariance_of, crossing

__all__ = ["coalesced", "drop_redundant", "inner_checks", "support_of"]

PLAIN, PLAIN_ENOUGH = 1.25, 0.9
"""A line may lie this many times as far from its points as an arc that bends for nothing, or so
many tolerances."""

BRIDGE, BRIDGE_RAD = 0.3, 0.35
"""Fraction of its shorter neighbour that a piece between two may be long to be done without, and by
how much these may turn there."""

MOST_POINTS = 300
"""Of a piece's points about so many are enough to lay a line or circle through."""


def coalesced(pieces: list[ChainPiece], chain: Chain) -> list[ChainPiece]:
    """Pieces with neighbours of one kind made one where all their points allow it.

    The search holds every segment to its end points, which carry noise; together they may not.
    """
    # Of a guide the exact directions count, not how plain it is.
    if chain.room_mm > 0.0:
        pieces = [_straightened(piece, chain) for piece in pieces]
    result = [pieces[0]]
    for piece in pieces[1:]:
        before = result[-1]
        kind = type(before.segment)
        both = None
        if kind is type(piece.segment) and kind is not Cubic and piece.smooth_start:
            both = _as_one(before, piece, chain)
        if both is None:
            result.append(piece)
        else:
            result[-1] = both
    return result if len(result) > 1 or not chain.closed else pieces


def _straightened(piece: ChainPiece, chain: Chain) -> ChainPiece:
    """A line in place of an arc so flat that a builder would not tell it from one."""
    arc = piece.segment
    if not isinstance(arc, Arc):
        return piece
    flat = arc.radius_mm * (1.0 - math.cos(min(abs(arc.sweep_rad), math.pi) / 2.0))
    line = replace(piece, segment=Line(arc.start, arc.end))
    bent = support_of(piece, chain)
    if flat > 2.0 * chain.tolerance_mm or bent is None:
        return piece
    straight = support_of(line, chain)
    run = inner_checks(piece, chain)
    off, less = (np.abs(s.off(run)[0]).max() for s in (straight, bent) if s is not None)
    enough = max(PLAIN_ENOUGH * chain.tolerance_mm, PLAIN * less)
    return line if off <= min(chain.tolerance_mm, enough) else piece


def drop_redundant(pieces: list[ChainPiece], chain: Chain) -> list[ChainPiece]:
    """Pieces without those that their neighbours can do without.

    A short piece cuts a corner two longer ones would make, or lies with all its points on the one
    or the other of two that all but touch.
    """
    result = list(pieces)
    k = 0
    while k < len(result) and len(result) > 3:
        before, piece, after = result[k - 1], result[k], result[(k + 1) % len(result)]
        inside = chain.closed or 0 < k < len(result) - 1
        length = piece.segment.length_mm
        short = length < 8.0 * chain.tolerance_mm
        if inside and short and _corner_replaces(before, piece, after, chain):
            middle, smooth = piece.last if k == len(result) - 1 else piece.first, False
        elif (
            inside
            and length < BRIDGE * min(before.segment.length_mm, after.segment.length_mm)
            and _is_bridge(before, piece, after, chain)
        ):
            middle, smooth = (piece.first + piece.last) // 2, True
            # At the ends of the chain a piece's points go to one neighbour alone.
            middle = piece.first if k == 0 else piece.last if k == len(result) - 1 else middle
        else:
            k += 1
            continue
        knot = chain.smoothed[middle]
        if k < len(result) - 1:
            result[k + 1] = replace(after, first=middle, start=knot, smooth_start=smooth)
        if k > 0:
            result[k - 1] = replace(before, last=middle, end=knot, smooth_end=smooth)
        del result[k]
    return result


def _is_bridge(before: ChainPiece, piece: ChainPiece, after: ChainPiece, chain: Chain) -> bool:
    """Whether the points of a piece between smooth joints all lie on its neighbours' supports."""
    if not (piece.smooth_start and piece.smooth_end):
        return False
    one, two = support_of(before, chain), support_of(after, chain)
    if one is None or two is None:
        return False
    run = chain.checks[piece.first : piece.last + 1]
    near = np.minimum(np.abs(one.off(run)[0]), np.abs(two.off(run)[0])).max()
    turn = abs(turn_between(*(s.heading(run[len(run) // 2]) for s in (one, two))))
    return bool(turn < BRIDGE_RAD and near < 0.9 * chain.tolerance_mm)


def _corner_replaces(
    before: ChainPiece, piece: ChainPiece, after: ChainPiece, chain: Chain
) -> bool:
    """Whether the crossing of two neighbours is as near to a short piece's points as it is."""
    turn = abs(turn_at(before.segment, after.segment))
    one, two = support_of(before, chain), support_of(after, chain)
    if turn < 0.5 or one is None or two is None:
        return False
    run = chain.checks[piece.first : piece.last + 1]
    place = crossing(one, two, run[len(run) // 2])
    if place is None:
        return False
    near = np.hypot(*(run - place).T)
    for support in (one, two):
        feet = np.array([support.nearest(p) for p in run])
        near = np.minimum(near, np.hypot(*(run - feet).T))
    return bool(np.hypot(*(run - place).T).min() < chain.tolerance_mm > near.max())


def _as_one(one: ChainPiece, two: ChainPiece, chain: Chain) -> ChainPiece | None:
    run = chain.checks[one.first : two.last + 1]
    segment: Segment
    if isinstance(one.segment, Line):
        line = fit_line(run)
        support = Support(np.array(line.point), np.array(line.direction), 0.0, 0.0)
        segment = Line(as_pair(support.nearest(one.start)), as_pair(support.nearest(two.end)))
    else:
        first, second = one.segment, two.segment
        assert isinstance(first, Arc)
        assert isinstance(second, Arc)
        if first.sweep_rad * second.sweep_rad < 0.0 or abs(first.sweep_rad + second.sweep_rad) > 5:
            return None
        try:
            circle = fit_circle(run)
        except OutlineError:
            return None
        turn = math.copysign(1.0, first.sweep_rad)
        support = Support(np.array(circle.center), np.zeros(2), circle.radius_mm, turn)
        a, b = support.nearest(one.start), support.nearest(two.end)
        segment = Arc.from_bulge(as_pair(a), as_pair(b), support.bulge(a, b))
    if float(distances(segment, run).max()) > 0.9 * chain.tolerance_mm:
        return None
    return replace(
        one,
        segment=segment,
        last=two.last,
        end=two.end,
        smooth_end=two.smooth_end,
        end_direction=two.end_direction,
    )


def support_of(piece: ChainPiece, chain: Chain) -> Support | None:
    """The whole line or circle a piece lies on, from the points inside it."""
    key = (piece.segment, piece.first, piece.last)
    return cached(chain.cache.supports, key, lambda: _support(piece, chain))


def _support(piece: ChainPiece, chain: Chain) -> Support | None:
    # Of many points, smoothed already, some are enough.
    run = subsample(chain.smoothed[piece.first : piece.last + 1], MOST_POINTS)
    weights = np.ones(len(run))
    if chain.weights is not None:
        weights = subsample(chain.weights[piece.first : piece.last + 1], MOST_POINTS)
    trim = int(0.12 * len(run))
    mirror = mirror_of(piece, chain)
    own = slice(trim, len(run) - trim) if len(run) - 2 * trim > 4 else slice(None)
    if mirror is not None:
        own = slice(0, len(run) - trim) if mirror.at_start else slice(trim, None)
    inner, weights = run[own], weights[own]
    if mirror is not None:
        inner = mirror.with_image(inner)
        pair = (weights[::-1], weights) if mirror.at_start else (weights, weights[::-1])
        weights = np.concatenate(pair)
    try:
        support = _laid(piece.segment, inner, weights)
    except OutlineError:
        return None
    if support is not None:
        # Points close together say no more than as many farther apart: the way counts.
        length = float(np.hypot(*np.diff(inner, axis=0).T).sum())
        support.covariance = covariance_of(support, inner, weights) * (
            len(inner) / max(length, 1e-9)
        )
        if mirror is not None:
            support.hold(mirror.knot, mirror.direction)
    return support


def inner_checks(piece: ChainPiece, chain: Chain) -> Points:
    """Checks of a piece but those next to its joints, which may be its neighbours'.

    Where it passes a mirror axis their image is among them.
    """
    run = chain.checks[piece.first : piece.last + 1]
    slack = 2.0 * chain.tolerance_mm
    far = np.minimum(np.hypot(*(run - run[0]).T), np.hypot(*(run - run[-1]).T)) > slack
    inner = run[far] if far.sum() > 4 else run
    mirror = mirror_of(piece, chain)
    return inner if mirror is None else mirror.with_image(inner)


def _laid(segment: Segment, places: Points, weights: FloatArray) -> Support | None:
    """The line or circle through places by weighted least squares; None of a cubic."""
    if isinstance(segment, Line):
        # Of many places at one end and few along the rest, each counts by its way.
        steps = np.hypot(*np.diff(places, axis=0).T)
        line = fit_line(places, (np.append(steps, 0.0) + np.append(0.0, steps)) * weights)
        return Support(np.array(line.point), np.array(line.direction), 0.0, 0.0)
    if isinstance(segment, Arc):
        center, radius = segment.center, segment.radius_mm
        if len(places) > 5 and abs(segment.sweep_rad) > 0.2:
            circle = fit_circle(places, weights)
            center, radius = circle.center, circle.radius_mm
        return Support(np.array(center), np.zeros(2), radius, math.copysign(1.0, segment.sweep_rad))
    return None
