"""Parts of one stuff that touch: only the gap between them tells where one ends.

A line that runs from rim to rim and is no wider than such gaps are parts two parts; a pencil's or a
pen's is broader.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, Points
from .doubts import Doubt
from .ground import NOISE, Shade
from .hairline import MOST_GAP_MM, read_hairline, way_between
from .light import Blocks
from .masks import Mask, box_sum, labelled, printed
from .seams import MAYBE, TurningRim, least_seam, line_strength, met_of

__all__ = ["own_piece"]

STRONG = 3.0
"""Deviations from which blocks may be a gap's, before its whole way is asked."""
CORE = 5
"""Blocks about a place that are free of lines where it is amid a piece: as far may a line pause."""
LEAST_PIECE, MOST_PIECES = 0.02, 12
"""Share of a part from which a piece is one, and how many are asked, the largest."""
NECKS = (40, 20, 10)
"""Blocks to either side of a neck by which parts of other stuff may hang together."""
STRIP, UNLIKE_STUFF = 6, 3.0
"""Blocks beside the way between two pieces that tell their stuff, and so many deviations apart two
stuffs are, along the direction that tells them best: one in 400 of the one's has the other's."""


@dataclass(frozen=True, slots=True)
class _Border:
    """Where two pieces meet: lines, px, its middle, and whether the rim turns in at its ends."""

    lines: list[Points]
    middle: tuple[float, float]
    turns_in: bool

    @classmethod
    def between(
        cls, blocks: Blocks, rim: TurningRim, halves: tuple[Mask, Mask], mm_per_px: float
    ) -> _Border:
        """Find the border of two ``halves`` of what has a ``rim``.

        Parameters
        ----------
        blocks, rim, halves
            Where blocks lie, the rim of what the part covers, and its halves.
        mm_per_px
            Scale.
        """
        met = met_of(*halves)
        places = blocks.centers()[met.ravel()]
        x, y = places[np.argmin(((places - places.mean(axis=0)) ** 2).sum(axis=1))]
        turned = rim.turns_in(met, mm_per_px)
        return cls(way_between(blocks, *halves), (float(x), float(y)), turned)


def own_piece(
    pixels: NDArray[Any],
    blocks: Blocks,
    seen: FloatArray,
    whole: Mask,
    held: Sequence[tuple[float, float]],
    bed: FloatArray,
    mm_per_px: float,
    *,
    is_thin: bool,
    shade: Shade | None = None,
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
    is_thin : bool
        Whether it is so thin that a gap in it may be paler than its face.
    """
    rows, columns = (np.flatnonzero(whole.any(axis=axis)) for axis in (1, 0))
    box = slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1)
    blocks, seen, found = blocks.within(box), seen[box], np.zeros_like(whole)
    whole = whole[box]
    below = float(bed.mean()) if is_thin else 0.0
    part = _Touching(pixels, blocks, seen, held, mm_per_px, below, shade)
    others: list[Doubt] = []
    for reach in NECKS:
        whole, told = part.of_one_stuff(whole, reach)
        others += told
    strength, thin, broad = part.lines(whole, bed)
    # Gaps first: a print that crosses one hides it, and beside its own lines it is not seen.
    doubts: list[Doubt] = []
    for lines in (thin, thin | broad) if broad[whole].any() else (thin,):
        whole, told = part.parted(whole, strength, *_pieces(whole, lines & whole, CORE))
        doubts = [*(doubt for doubt in doubts if doubt.kind == "seam"), *told]
    found[box] = whole
    return found, others + doubts


@dataclass(frozen=True, slots=True, eq=False)
class _Touching:
    """A photo, its blocks, their light, and which places of what covers the bench are held."""

    pixels: NDArray[Any]
    blocks: Blocks
    seen: FloatArray
    held: Sequence[tuple[float, float]]
    mm_per_px: float
    below: float
    shade: Shade | None

    def lines(self, whole: Mask, bed: FloatArray) -> tuple[FloatArray, Mask, Mask]:
        """(h, w) strength of thin lines, where it is more than grain's, and where broad ones are.

        Parameters
        ----------
        whole, bed
            As of `own_piece`.
        """
        # Root of light: half of the share of light that the widest gap takes of a block.
        share = 0.5 * MOST_GAP_MM / (self.mm_per_px * self.blocks.step_px)
        most = share, share * float(np.sqrt(bed).mean())
        plain = whole & ~printed(self.seen, whole)
        strength, broad = line_strength(self.seen.mean(axis=2), plain, most)
        return strength, strength > STRONG, broad

    def parted(
        self, whole: Mask, strength: FloatArray, pieces: Indices, amid: Mask
    ) -> tuple[Mask, list[Doubt]]:
        """What is held of a ``whole`` in ``pieces``, and where that may be otherwise.

        Parameters
        ----------
        whole, strength, pieces, amid
            Blocks, how much they look like a line's, which of them no line parts, and which lie
            amid their piece.
        """
        if pieces.max() < 2:
            return whole, []
        joined = np.arange(pieces.max() + 1)
        gaps: list[tuple[int, int, bool | None, Doubt]] = []
        necks: list[tuple[int, Doubt]] = []
        at = [self.blocks.index_of(place) for place in self.held]
        face, rim = box_sum(~whole, 1) == 0, TurningRim(self.blocks, whole)
        for one, two in _neighbours(pieces):
            halves = _halves(strength, (pieces == one, pieces == two), amid)
            border = _Border.between(self.blocks, rim, halves, self.mm_per_px)
            told = self._is_gap(face, border, halves)
            if told is False:
                joined[joined == joined[two]] = joined[one]
            elif told or (border.lines and not border.turns_in):
                gaps.append((one, two, told, Doubt("seam" if told else "line", border.middle)))
            if border.turns_in and not told:
                necks.append((one, Doubt("neck", border.middle)))
        mine = np.isin(joined, joined[[int(pieces[place]) for place in at]])
        narrow = [doubt for one, doubt in necks if mine[one]]
        parting = [(one, two) for one, two, told, _ in gaps if told and mine[one] != mine[two]]
        still = [doubt for one, two, _, doubt in gaps if joined[one] != joined[two]]
        if not parting:
            return whole, [*narrow, *still]
        # A piece whose lines stay open goes to either side as the least way between them runs.
        beyond = np.isin(joined, [joined[two if mine[one] else one] for one, two in parting])
        sides = whole & mine[pieces], whole & beyond[pieces]
        found = labelled(_halves(strength, sides, amid, whole)[0])
        own = np.isin(found, [found[place] for place in at]) & whole
        return own, [*narrow, *still]

    def of_one_stuff(self, whole: Mask, reach: int) -> tuple[Mask, list[Doubt]]:
        """What is held of a ``whole``, without what is of other stuff beyond necks, and where."""
        pieces, amid = _pieces(whole, np.zeros_like(whole), reach)
        at = [self.blocks.index_of(place) for place in self.held]
        mine = {int(pieces[place]) for place in at}
        own, doubts, rim = whole, [], TurningRim(self.blocks, whole)
        for pair in _neighbours(pieces):
            one, two = (pieces == k for k in sorted(pair, key=lambda k: k not in mine))
            if len(mine & set(pair)) != 1 or not _are_unlike(self.seen, self.shade, one, two):
                continue
            halves = _halves(_steps(self.seen, whole), (one, two), amid)
            border = _Border.between(self.blocks, rim, halves, self.mm_per_px)
            if border.turns_in and _are_unlike(self.seen, self.shade, *halves):
                own = own & ~halves[1]
                doubts.append(Doubt("seam", border.middle))
        found = labelled(own)
        return np.isin(found, [found[place] for place in at]) & own, doubts

    def _is_gap(self, face: Mask, border: _Border, sides: tuple[Mask, Mask]) -> bool | None:
        """Whether two parts meet in a border of two pieces, None where that stays open."""
        if border.turns_in and _are_unlike(self.seen, self.shade, *sides):
            return True
        if not border.lines:
            return None
        line = read_hairline(
            self.pixels,
            border.lines,
            lambda places: face[self.blocks.indices_of(places)],
            self.mm_per_px,
            self.below,
        )
        return line.is_gap(turns_in=border.turns_in)


def _are_unlike(seen: FloatArray, shade: Shade | None, one: Mask, two: Mask) -> bool:
    """Whether two pieces are of other stuff to either side of where they meet (Fisher 1936)."""
    met = met_of(one, two)
    near = (box_sum(met, STRIP) > 0) & (box_sum(met, STRIP // 3) == 0)
    sides = [seen[piece & near] for piece in (one, two)]
    if min(len(side) for side in sides) < STRIP**2:
        return False
    usual = [np.median(side, axis=0) for side in sides]
    if shade is not None and shade.explains(*usual):
        return False
    away = usual[0] - usual[1]
    spread = sum(np.cov(side.T) for side in sides) / 2.0 + np.eye(3) * NOISE**2
    return bool(away @ np.linalg.solve(spread, away) > UNLIKE_STUFF**2)


def _steps(seen: FloatArray, whole: Mask) -> FloatArray:
    """(h, w) how much colour changes from block to block, over what is usual."""
    change = np.stack(np.gradient(seen, axis=(0, 1)))
    size = (change * change).sum(axis=(0, -1))
    return np.asarray(np.sqrt(size / (float(np.median(size[whole])) + NOISE**2)))


def _halves(
    strength: FloatArray, sides: tuple[Mask, Mask], amid: Mask, whole: Mask | None = None
) -> tuple[Mask, Mask]:
    """Two pieces that meet about a gap, parted by the least way: the gap's own, if there is one.

    Parameters
    ----------
    strength : (h, w) float
        How much blocks look like a line's.
    sides, amid : two of (h, w) bool, and one
        The pieces, and what surely is of either.
    whole : (h, w) bool, optional
        What of this is of neither piece falls to either.
    """
    one, two = sides
    both = one | two if whole is None else whole
    met = one & (box_sum(both & ~one, 1) > 0)
    some = one & amid, two & amid
    if not (some[0].any() and some[1].any()) or (strength[met] > 1.0).mean() < MAYBE:
        return one, both & ~one
    # Beside a clear line what shows is its own glow: it is as clear as most of its way, or ends.
    clear = max(1.0, float(np.quantile(strength[met], 0.75)) / STRONG)
    found = least_seam(strength / clear, both, *some)
    return found, both & ~found


def _pieces(whole: Mask, strong: Mask, reach: int) -> tuple[Indices, Mask]:
    """(h, w) number of the piece, between strong lines and necks, of every block; and its core."""
    core = labelled(box_sum(strong | ~whole, reach) == 0)
    size = np.bincount(core.ravel())
    size[0] = 0
    large = np.argsort(-size, kind="stable")[:MOST_PIECES]
    large = large[size[large] > LEAST_PIECE * size.sum()]
    if len(large) < 2:
        return whole.astype(np.int64), whole
    number = np.zeros(len(size), dtype=np.int64)
    number[large] = np.arange(1, len(large) + 1)
    cores = number[core]
    return _grown(_grown(cores, whole & ~strong), whole), cores > 0


def _grown(pieces: Indices, room: Mask) -> Indices:
    """Pieces grown into the room that they can reach, all at one pace."""
    wide = np.pad(pieces, 1)
    pitch, grown, free = wide.shape[1], wide.ravel(), np.pad(room & (pieces == 0), 1).ravel()
    last = np.flatnonzero(grown)
    while len(last):
        reached = []
        for way in (pitch, -pitch, 1, -1):
            own = last[free[last + way]]
            grown[own + way] = grown[own]
            free[own + way] = False
            reached.append(own + way)
        last = np.concatenate(reached)
    return wide[1:-1, 1:-1]


def _neighbours(pieces: Indices) -> list[tuple[int, int]]:
    """Pairs of pieces that touch."""
    found: set[tuple[int, int]] = set()
    for one, two in ((pieces[1:], pieces[:-1]), (pieces[:, 1:], pieces[:, :-1])):
        meets = (one != two) & (one > 0) & (two > 0)
        found |= {
            (min(pair), max(pair)) for pair in np.column_stack((one[meets], two[meets])).tolist()
        }
    return sorted(found)
