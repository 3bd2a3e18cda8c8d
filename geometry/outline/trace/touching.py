"""Parts that touch: what hangs together with the clicked part, and where it ends.

A silhouette falls into pieces at its necks and at the thin lines on it. Two pieces are two parts
where they meet in a gap (see `hairlines`), or where they are of other stuff to either side and
their rim turns in at both ends; the way between them is the least one, along what shows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, Points
from .band import outline_of_mask
from .doubts import Doubt
from .ground import NOISE
from .hairlines import MOST_GAP_MM, lines_between, read_line
from .light import Blocks
from .masks import Mask, box_sum, labelled
from .seams import MAYBE, least_seam, line_strength, met_of, rim_turns_in

__all__ = ["own_piece"]

STRONG = 3.0
"""Deviations from which blocks may be a gap's, before its whole way is asked."""
CORE = 5
"""Blocks about a place that are free of lines where it is amid a piece: as far may a line pause."""
NECKS = (40, 20, 10)
"""Blocks to either side of necks in which parts of other stuff may touch."""
LEAST_PIECE, MOST_PIECES = 0.02, 12
"""Share of a part from which a piece is one, and how many are asked, the largest."""
STRIP = 6
"""Blocks beside the way between two pieces that tell whether they are of one stuff."""
UNLIKE_STUFF = 3.0
"""So many deviations apart, along the direction that tells them best, are two stuffs: one in 400 of
the one's blocks has the other's colour."""


@dataclass(frozen=True, slots=True)
class _Border:
    """Where two pieces meet: each of them with the least way between, and how it ends.

    ``lines`` is that way, px, ``middle`` its middle; ``turns_in`` whether the rim does at its ends.
    """

    one: Mask
    two: Mask
    lines: list[Points]
    middle: tuple[float, float]
    turns_in: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Touching:
    """A silhouette in blocks, with what is seen, how strongly lines show on it, and its scale."""

    pixels: NDArray[Any]
    blocks: Blocks
    seen: FloatArray
    whole: Mask
    bed: FloatArray
    mm_per_px: float

    def outline(self, mask: Mask) -> shapely.Geometry:
        return outline_of_mask(mask, self.blocks.step_px, self.blocks.corner_px)

    def border(self, one: Mask, two: Mask, strength: FloatArray) -> _Border:
        """Find the border of two pieces, along what shows ``strength``."""
        halves = _halves(strength, one, two)
        met = met_of(*halves)
        places = self.blocks.centers()
        way = places[met.ravel()]
        x, y = way[np.argmin(((way - way.mean(axis=0)) ** 2).sum(axis=1))]
        turned = rim_turns_in(self.blocks, self.whole, met, self.mm_per_px)
        lines = lines_between(*(self.outline(half) for half in halves))
        return _Border(*halves, lines, (float(x), float(y)), turned)

    def are_unlike(self, one: Mask, two: Mask) -> bool:
        """Whether two pieces are of other stuff to either side of where they meet (Fisher 1936)."""
        met = met_of(one, two)
        near = (box_sum(met * 1.0, STRIP) > 0.5) & (box_sum(met * 1.0, 2) < 0.5)
        sides = [self.seen[piece & near] for piece in (one, two)]
        if min(len(side) for side in sides) < STRIP**2:
            return False
        away = np.median(sides[0], axis=0) - np.median(sides[1], axis=0)
        spread = [np.cov(side.T) + np.eye(3) * NOISE**2 for side in sides]
        return bool(away @ np.linalg.solve(0.5 * (spread[0] + spread[1]), away) > UNLIKE_STUFF**2)

    def lines(self) -> tuple[FloatArray, Mask]:
        """(h, w) strength of thin lines, and the blocks of those too broad for a gap."""
        # Root of light: half of the share of light that the widest gap takes of a block.
        share = 0.5 * MOST_GAP_MM / (self.mm_per_px * self.blocks.step_px)
        most = share, share * float(np.sqrt(self.bed).mean())
        return line_strength(self.seen.mean(axis=2), self.whole, most)

    def steps(self) -> FloatArray:
        """(h, w) how much colour changes from block to block, in what is usual."""
        size = np.zeros(self.whole.shape)
        for axis in (0, 1):
            change = np.gradient(self.seen, axis=axis)
            size += (change * change).sum(axis=2)
        return np.sqrt(size / (float(np.median(size[self.whole])) + NOISE**2))


def own_piece(
    pixels: NDArray[Any],
    blocks: Blocks,
    seen: FloatArray,
    whole: Mask,
    held: Sequence[tuple[float, float]],
    bed: FloatArray,
    mm_per_px: float,
) -> tuple[Mask, list[Doubt]]:
    """Blocks of a silhouette without what touches it, and where that may be otherwise.

    Parameters
    ----------
    pixels, blocks, seen : photo, its blocks and their (h, w, 3) root of even light
        What is seen.
    whole : (h, w) bool
        The silhouette.
    held : sequence of (2,) float
        Places, px, that belong together.
    bed : (3,) float
        Light of the bench, which may shine through a gap.
    mm_per_px : float
        Scale.
    """
    rows, columns = (np.flatnonzero(whole.any(axis=axis)) for axis in (1, 0))
    top, left = max(0, int(rows[0]) - 2), max(0, int(columns[0]) - 2)
    box = slice(top, int(rows[-1]) + 3), slice(left, int(columns[-1]) + 3)
    corner = (
        blocks.corner_px[0] + left * blocks.step_px,
        blocks.corner_px[1] + top * blocks.step_px,
    )
    near = Blocks(blocks.root[box], blocks.step_px, corner)
    parts = _Touching(pixels, near, seen[box], whole[box], bed, mm_per_px)
    doubts: list[Doubt] = []
    for reach in NECKS:
        own, told = _without_unlike(parts, held, reach)
        parts = replace(parts, whole=own)
        doubts += told
    own, told = _without_alike(parts, held)
    found = np.zeros_like(whole)
    found[box] = own
    return found, doubts + told


def _without_unlike(
    parts: _Touching, held: Sequence[tuple[float, float]], reach: int
) -> tuple[Mask, list[Doubt]]:
    """The pieces that hold places, without those of other stuff beyond necks, and where."""
    pieces = _pieces(parts.whole, np.zeros_like(parts.whole), reach)
    if pieces.max() < 2:
        return parts.whole, []
    at = {int(pieces[parts.blocks.index_of(place)]) for place in held}
    own, doubts = parts.whole, []
    for pair in _neighbours(pieces):
        if len(at & set(pair)) != 1:
            continue
        one, two = (pieces == k for k in sorted(pair, key=lambda k: k not in at))
        if not parts.are_unlike(one & own, two & own):
            continue
        border = parts.border(one, two, parts.steps())
        if border.turns_in and parts.are_unlike(border.one, border.two):
            own = own & ~border.two
            doubts.append(Doubt("seam", border.middle))
    found = labelled(own)
    return np.isin(found, [found[parts.blocks.index_of(place)] for place in held]) & own, doubts


def _without_alike(
    parts: _Touching, held: Sequence[tuple[float, float]]
) -> tuple[Mask, list[Doubt]]:
    """The pieces that hold places, without those beyond gaps, and where that may be otherwise."""
    whole = parts.whole
    strength, broad = parts.lines()
    pieces = _pieces(whole, broad | (strength > STRONG), CORE)
    if pieces.max() < 2:
        return whole, []
    joined = np.arange(pieces.max() + 1)
    gaps: list[tuple[int, int, bool | None, Doubt]] = []
    necks: list[tuple[int, Doubt]] = []
    for one, two in _neighbours(pieces):
        border = parts.border(pieces == one, pieces == two, strength)
        told = None
        if border.lines:
            line = read_line(parts.pixels, border.lines, parts.bed, parts.mm_per_px)
            told = line.is_gap(turns_in=border.turns_in)
        if told is False:
            joined[joined == joined[two]] = joined[one]
        elif told or border.lines:
            gaps.append((one, two, told, Doubt("seam" if told else "line", border.middle)))
        if border.turns_in and not told:
            necks.append((one, Doubt("neck", border.middle)))
    mine = np.isin(joined, joined[[int(pieces[parts.blocks.index_of(place)]) for place in held]])
    narrow = [doubt for one, doubt in necks if mine[one]]
    parting = [(one, two) for one, two, told, _ in gaps if told and mine[one] != mine[two]]
    if not parting:
        return whole, narrow
    # A piece whose lines stay open goes to either side as the least way between them runs.
    beyond = np.isin(joined, [joined[two if mine[one] else one] for one, two in parting])
    found = labelled(_halves(strength, whole & mine[pieces], whole & beyond[pieces], whole)[0])
    amid = [doubt for one, two, _, doubt in gaps if joined[one] != joined[two]]
    own = np.isin(found, [found[parts.blocks.index_of(place)] for place in held]) & whole
    return own, [*narrow, *amid]


def _halves(
    strength: FloatArray, one: Mask, two: Mask, whole: Mask | None = None
) -> tuple[Mask, Mask]:
    """Two pieces that meet about a gap, parted by the least way: the gap's own, if there is one.

    What else of a ``whole`` there is falls to either.
    """
    both = one | two if whole is None else whole
    some = one & (box_sum(two * 1.0, CORE) < 0.5), two & (box_sum(one * 1.0, CORE) < 0.5)
    met = one & (box_sum((both & ~one) * 1.0, 1) > 0.5)
    if not (some[0].any() and some[1].any()) or (strength[met] > 1.0).mean() < MAYBE:
        return one, both & ~one
    # Beside a clear line what shows is its own glow: it is as clear as most of its way, or ends.
    clear = max(1.0, float(np.quantile(strength[met], 0.75)) / STRONG)
    found = least_seam(strength / clear, both, *some)
    return found, both & ~found


def _pieces(whole: Mask, strong: Mask, reach: int) -> Indices:
    """(h, w) number of the piece, between strong lines and necks, of every block."""
    core = labelled(box_sum((strong | ~whole) * 1.0, reach) < 0.5)
    size = np.bincount(core.ravel())
    size[0] = 0
    large = np.argsort(-size, kind="stable")[:MOST_PIECES]
    large = large[size[large] > LEAST_PIECE * size.sum()]
    number = np.zeros(len(size), dtype=np.int64)
    number[large] = np.arange(1, len(large) + 1)
    return _grown(_grown(number[core], whole & ~strong), whole)


def _grown(pieces: Indices, room: Mask) -> Indices:
    """Pieces grown into the room that they can reach, all at one pace."""
    while True:
        before = pieces
        for axis, way in ((0, 1), (0, -1), (1, 1), (1, -1)):
            beside = np.roll(before, way, axis)
            edge: list[Any] = [slice(None), slice(None)]
            edge[axis] = 0 if way > 0 else -1
            beside[tuple(edge)] = 0
            pieces = np.where((pieces == 0) & room, beside, pieces)
        if (pieces == before).all():
            return pieces


def _neighbours(pieces: Indices) -> list[tuple[int, int]]:
    """Pairs of pieces that touch."""
    pairs = [
        np.stack((one.ravel(), two.ravel()))
        for one, two in ((pieces[1:], pieces[:-1]), (pieces[:, 1:], pieces[:, :-1]))
    ]
    both = np.sort(np.concatenate(pairs, axis=1), axis=0)
    both = both[:, (both[0] > 0) & (both[0] < both[1])]
    return [(int(one), int(two)) for one, two in np.unique(both, axis=1).T]
