"""Parts of one stuff that touch: only the gap between them tells where one ends.

Two cut edges pushed together leave a gap far narrower than a pixel. It cannot take more light than
falls on it, and what it takes is spread by the lens but not lost: the light missing across it, over
that of the face beside it, is the gap's width (the equivalent width of spectroscopy), however the
picture is blurred. A line that runs from rim to rim and is no wider than such gaps are parts two
parts; a pencil's or a pen's is broader.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, Points
from .band import outline_of_mask, outward_of, unroll
from .doubts import Doubt
from .ground import NOISE
from .light import Blocks
from .masks import Mask, box_sum, labelled
from .seams import MAYBE, least_seam, line_strength, met_of, turns_in

__all__ = ["Hairline", "own_piece"]

MOST_GAP_MM = 0.12
"""Widest gap of parts that touch: knife-cut edges leave 0.03 mm and more (common practice, no
source), and the finest pencil line, 0.3 mm (ISO 9175-1), takes 0.4 of the light and more."""
MOST_SEAM_MM = 1.0
"""A broader line than such a gap parts two parts only where their rim turns in at all its ends, and
a pen's line is no broader than that."""
STRONG = 3.0
"""Deviations from which blocks may be a gap's, before its whole way is asked."""
CORE = 5
"""Blocks about a place that are free of lines where it is amid a piece: as far may a line pause."""
LEAST_PIECE, MOST_PIECES = 0.02, 12
"""Share of a part from which a piece is one, and how many are asked, the largest."""
STRETCH_PX, CLEAR = 12, 3.0
"""A gap is read in stretches so long, each surely from so many deviations on."""
BY_CHANCE, SURELY, MAYBE_NOT = 0.2, 1e-3, 0.05
"""Share of such stretches that grain shows along ways that follow it (8 of 41 within one part on
rendered photos); how improbable as many as were read must be by chance (binomial) for a gap, and
how probable for none. What is between, or too short to tell, is open."""
UNLIKE_STUFF = 3.0
"""So many deviations apart the usual colours of two stuffs are: one in 400 of the one's blocks has
the other's."""
BESIDE_PX, FAR_PX, RIM_PX = 4.0, 7.0, 6
"""The faces beside a gap are seen so far from it, and so far from the rim, which is no face."""


@dataclass(frozen=True, slots=True)
class Hairline:
    """A line's equivalent width, mm, and of how many stretches how many were read."""

    width_mm: float
    stretches: int
    read: int

    def is_gap(self, *, turns_in: bool = False) -> bool | None:
        """Whether two parts meet in it, None where that stays open; maybe their rim turns in."""
        if self.width_mm > (MOST_SEAM_MM if turns_in else MOST_GAP_MM):
            return False
        n = self.stretches
        chance = sum(
            comb(n, k) * BY_CHANCE**k * (1.0 - BY_CHANCE) ** (n - k)
            for k in range(self.read, n + 1)
        )
        if chance < SURELY:
            return True
        return False if chance > MAYBE_NOT and BY_CHANCE**n < SURELY else None


@dataclass(frozen=True, slots=True)
class _Border:
    """Where two pieces meet: lines, px, its middle, and whether the rim turns in at its ends."""

    lines: list[Points]
    middle: tuple[float, float]
    turns_in: bool

    @classmethod
    def between(
        cls,
        blocks: Blocks,
        strength: FloatArray,
        whole: Mask,
        pieces: tuple[Mask, Mask],
        mm_per_px: float,
    ) -> _Border:
        """Find the border of two ``pieces`` of a ``whole``, along lines that show ``strength``."""
        halves = _halves(strength, *pieces)
        met = met_of(*halves)
        places = blocks.centers()[met.ravel()]
        x, y = places[np.argmin(((places - places.mean(axis=0)) ** 2).sum(axis=1))]
        turned = turns_in(met, whole, mm_per_px * blocks.step_px)
        return cls(_way(blocks, *halves), (float(x), float(y)), turned)


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
    full, pieces = _between_lines(blocks, seen, whole, bed, mm_per_px)
    if pieces.max() < 2:
        return whole, []
    joined = np.arange(pieces.max() + 1)
    gaps: list[tuple[int, int, bool | None, Doubt]] = []
    necks: list[tuple[int, Doubt]] = []
    at = [int(pieces[blocks.index_of(place)]) for place in held]
    for one, two in _neighbours(pieces):
        border = _Border.between(blocks, full, whole, (pieces == one, pieces == two), mm_per_px)
        told = None
        if border.turns_in and _are_unlike(seen, pieces == one, pieces == two):
            told = True
        elif border.lines:
            line = _read(pixels, border.lines, bed, mm_per_px)
            told = line.is_gap(turns_in=border.turns_in)
        if told is False:
            joined[joined == joined[two]] = joined[one]
        elif told or border.lines:
            gaps.append((one, two, told, Doubt("seam" if told else "line", border.middle)))
        if border.turns_in and not told:
            necks.append((one, Doubt("neck", border.middle)))
    mine = np.isin(joined, joined[at])
    narrow = [doubt for one, doubt in necks if mine[one]]
    parting = [(one, two) for one, two, told, _ in gaps if told and mine[one] != mine[two]]
    if not parting:
        return whole, narrow
    # A piece whose lines stay open goes to either side as the least way between them runs.
    beyond = np.isin(joined, [joined[two if mine[one] else one] for one, two in parting])
    found = labelled(_halves(full, whole & mine[pieces], whole & beyond[pieces], whole)[0])
    amid = [doubt for one, two, _, doubt in gaps if joined[one] != joined[two]]
    own = np.isin(found, [found[blocks.index_of(place)] for place in held]) & whole
    return own, [*narrow, *amid]


def _between_lines(
    blocks: Blocks, seen: FloatArray, whole: Mask, bed: FloatArray, mm_per_px: float
) -> tuple[FloatArray, Indices]:
    """(h, w) strength of thin lines in a silhouette, and the number of the piece between them."""
    rows, columns = (np.flatnonzero(whole.any(axis=axis)) for axis in (1, 0))
    box = slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1)
    # Root of light: half of the share of light that the widest gap takes of a block.
    share = 0.5 * MOST_GAP_MM / (mm_per_px * blocks.step_px)
    most = share, share * float(np.sqrt(bed).mean())
    strength, broad = line_strength(seen[box].mean(axis=2), whole[box], most)
    pieces = np.zeros(whole.shape, dtype=np.int64)
    pieces[box] = _pieces(whole[box], broad | (strength > STRONG))
    full = np.zeros(whole.shape)
    full[box] = strength
    return full, pieces


def _are_unlike(seen: FloatArray, one: Mask, two: Mask) -> bool:
    """Whether two pieces are of other stuff: most of either is of no colour usual in the other."""
    middles, spreads = [], []
    for piece in (one, two):
        colours = seen[piece]
        middle = np.median(colours, axis=0)
        middles.append(middle)
        spreads.append(1.4826 * np.median(np.abs(colours - middle), axis=0) + NOISE)
    away = np.abs(middles[0] - middles[1])
    return bool((away > UNLIKE_STUFF * np.maximum(*spreads)).any())


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
    found = least_seam(strength, both, *some)
    return found, both & ~found


def _pieces(whole: Mask, strong: Mask) -> Indices:
    """(h, w) number of the piece, between strong lines, of every block of a silhouette."""
    core = labelled(box_sum((strong | ~whole) * 1.0, CORE) < 0.5)
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


def _read(pixels: NDArray[Any], lines: list[Points], bed: FloatArray, mm_per_px: float) -> Hairline:
    """Read the way between two pieces in the full photo."""
    light = []
    for line in lines:
        band = unroll(pixels, line, outward_of(line, 4.0), np.arange(-FAR_PX, FAR_PX + 0.1))
        light.append(band.light.mean(axis=2)[RIM_PX:-RIM_PX])
    seen = np.concatenate(light)
    reach = np.abs(np.arange(-FAR_PX, FAR_PX + 0.1))
    beside = seen[:, reach >= BESIDE_PX].mean(axis=1)
    off = seen - beside[:, None]
    amid = off[:, reach < BESIDE_PX]
    missing = float(np.median(amid.sum(axis=1)))
    count = len(seen) // STRETCH_PX
    if count < 2:
        return Hairline(0.0, 0, 0)
    stretches = off[: count * STRETCH_PX].reshape(count, STRETCH_PX, -1).mean(axis=1)
    # Grain runs along as a gap may: as much as it does beside is no gap.
    noise = 1.4826 * float(np.median(np.abs(stretches[:, reach >= BESIDE_PX]))) + 1e-5
    deep = (np.sign(missing) * stretches[:, reach < BESIDE_PX]).max(axis=1) / noise
    level = float(np.median(beside))
    most = level if missing < 0.0 else max(float(bed.mean()) - level, 1e-6)
    return Hairline(abs(missing) / most * mm_per_px, count, int((deep > CLEAR).sum()))


def _way(blocks: Blocks, one: Mask, two: Mask) -> list[Points]:
    """The lines, px, between two pieces."""
    sides = (outline_of_mask(mask, blocks.step_px, blocks.corner_px) for mask in (one, two))
    shared = shapely.line_merge(shapely.intersection(*(side.boundary for side in sides)))
    return [
        _smoothed(shapely.get_coordinates(line))
        for line in shapely.get_parts(shared)
        if line.geom_type == "LineString" and line.length > STRETCH_PX + 2 * RIM_PX
    ]


def _smoothed(line: Points, sigma_px: float = 3.0) -> Points:
    """(N, 2) places a pixel apart on a line of steps, smoothed along it."""
    length = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    at = np.arange(0.0, length[-1])
    even = np.column_stack([np.interp(at, length, line[:, axis]) for axis in (0, 1)])
    reach = int(3 * sigma_px)
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma_px) ** 2)
    padded = np.pad(even, ((reach, reach), (0, 0)), mode="edge")
    return np.column_stack(
        [np.convolve(padded[:, axis], kernel / kernel.sum(), mode="valid") for axis in (0, 1)]
    )
