"""Where exactly a part's top edge lies: a blurred-step model fitted to cuts across it.

Across the edge the light is the face, then the side wall where the camera sees it, then what lies
below: levels joined by steps of one blur. The wall's width in the picture is known from the bench,
so the top edge and the foot of the wall are told apart even where the wall is as bright as the
face. A band of shadow or a line of the bench along the edge is of no known width: where one step
draws a cut badly, two are tried, and the inner one is the edge. Steps are fitted in linear light,
where blur happens, so that blur moves no edge.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points, subsample
from .light import Blurs, LightCrop
from .steps import StepWindows, cuts_across
from .windows import (
    PLACE_STEP_PX,
    SHIFTS_PX,
    TAIL_PX,
    band_windows,
    near_windows,
    pair_windows,
    wide_windows,
)

__all__ = ["edge_offsets"]

BLURS_PX = (0.5, 0.75, 1.1, 1.6, 2.3, 3.3)
SAMPLE = 150
"""How many cuts of a kind tell the blurs."""
FINE_SEARCH_PX = 4.5
"""A ring whose edge is looked for within less is fine."""
NEAR, SPREAD = 0.15, 0.4
"""Where off the rough edge the edge is looked for most: shares of how far off it may be."""
THIN_PX, FAINT = 3.0, 0.2
"""Of a wall no broader, or with no larger share of the change at one of its edges, one is seen."""
ALONG = 3
"""Neighbours to either side that tell whether there are two."""
ODD, NOISE, BETTER = 0.002, 6.0, 0.5
"""What two steps must draw more than one: a share of the light's change, so many times what one
leaves at clear places, and a share of what they leave themselves."""


def edge_offsets(
    light: LightCrop,
    places_px: Points,
    outward_px: Points,
    wall_px: FloatArray,
    search_px: float,
    clear_px: FloatArray,
    share: FloatArray,
    shift_px: Points,
    may_be: Callable[[Points], NDArray[np.bool_]],
) -> tuple[FloatArray, FloatArray]:
    """Offset of the top edge along each outward direction, and how clear it is.

    Parameters
    ----------
    light : LightCrop
        The picture.
    places_px : (N, 2) float
        Rough edge points.
    outward_px : (N, 2) float
        Unit directions off the part.
    wall_px : (N,) float
        Width of the visible wall along the direction; not positive where it is hidden.
    search_px : float
        How far off the rough points may be.
    clear_px : (N,) float
        Width of a wall that shows by itself, so that the rough points are not at its foot; beyond
        it light counts for nothing where ``wall_px`` does not tell of it. Else infinite.
    share : (N,) float
        Share of all change of the light that is at the top edge, where it is known; the rest is at
        the foot. Else infinite.
    shift_px : (N, 2) float
        How far from the rough points what tells of the edge is looked at.
    may_be : callable
        Whether the edge may be at (M, 2) places: a line drawn on the part near its edge looks as a
        line of the bench does, but the rough edge runs outside of it.

    Returns
    -------
    (N,) float
        Offset in px, positive outwards.
    (N,) float
        Share of the light's change that the steps explain, 0..1.
    """
    wall = np.where(wall_px > 0.6, np.round(wall_px * 2.0) / 2.0, 0.0)
    clear_px = np.where(clear_px < 3.0 * TAIL_PX, np.maximum(np.round(clear_px), 1.0), np.inf)
    share = np.where((wall > 0.0) & np.isfinite(share), np.round(share * 8.0) / 8.0, np.inf)
    kinds, kind = np.unique(np.column_stack((wall, clear_px, share)), axis=0, return_inverse=True)
    groups = [np.flatnonzero(kind.ravel() == k) for k in range(len(kinds))]

    def cuts_of(which: Sequence[int], most: int) -> tuple[_Cuts, NDArray[np.int64]]:
        parts = [subsample(groups[k], most) for k in which]
        rows = np.concatenate(parts)
        ends = np.cumsum([len(part) for part in parts]).tolist()
        runs = [slice(*run) for run in zip([0, *ends[:-1]], ends, strict=True)]
        at, aside, outward = places_px[rows], shift_px[rows], outward_px[rows]
        cuts = _Cuts(light, search_px, at + aside, outward, aside, runs, *kinds[which].T)
        return cuts, rows

    # One lens took the whole part: its blur is found on the first ring, for all others too. But
    # across the stairs of a rough ring it seems wider than across a fine one.
    rough = search_px > FINE_SEARCH_PX
    if rough not in light.blurs:
        usual = sorted(range(len(groups)), key=lambda k: -len(groups[k]))[:2]
        light.blurs[rough] = _best_blurs(cuts_of(usual, SAMPLE)[0])
    blurs = light.blurs[rough]
    offsets, clear, rest = np.zeros((3, len(places_px)))
    shows = kinds[:, 0] > 0.0
    # Windows across a wall that shows are broader.
    for which in (np.flatnonzero(~shows), np.flatnonzero(shows)):
        if len(which) > 0:
            cuts, rows = cuts_of(which.tolist(), len(places_px))
            offsets[rows], clear[rows], rest[rows] = _one_step(cuts, blurs)
    # Where nothing hides it another step may run along the edge.
    for k in np.flatnonzero(~shows & np.isinf(kinds[:, 1])).tolist():
        cuts, rows = cuts_of([k], len(places_px))
        read = offsets[rows], clear[rows], rest[rows]
        offsets[rows], clear[rows] = _with_bands(cuts, blurs, *read, may_be)
    return offsets, clear


@dataclass(frozen=True, slots=True)
class _Cuts:
    """Cuts across an edge, those of each of W kinds in one of the runs ``kinds``, and how to read.

    ``places``, ``outward`` (N, 2) and ``aside`` (N, 2), how far from the edge the cuts are laid;
    of each kind (W,) the wall's width, how far nothing else comes, px, and the top edge's share of
    the light's change; the last two are infinite where not known.
    """

    light: LightCrop
    search: float
    places: Points
    outward: Points
    aside: Points
    kinds: list[slice]
    wall: FloatArray
    clear: FloatArray
    share: FloatArray

    @property
    def held(self) -> FloatArray:
        """The share by which steps nearby are held: where each is clear it tells more itself."""
        is_clear = (self.wall > THIN_PX) & (self.share > FAINT) & (self.share < 1.0 - FAINT)
        return np.where(is_clear, np.inf, self.share)

    @property
    def open(self) -> NDArray[np.bool_]:
        """Whether what comes after the edge is not known."""
        return (self.wall == 0.0) & np.isinf(self.clear)

    def moved(self, offsets: FloatArray) -> _Cuts:
        """These cuts laid (N,) px farther out."""
        return replace(self, places=self.places + offsets[:, None] * self.outward)

    def some(self, rows: NDArray[np.int64]) -> _Cuts:
        """Some of these cuts, which are of one kind."""
        parts = {name: getattr(self, name)[rows] for name in ("places", "outward", "aside")}
        return replace(self, kinds=[slice(len(rows))], **parts)

    def across(self, t: FloatArray) -> FloatArray:
        """(K, N, T) what the cuts show."""
        return cuts_across(self.light, self.places, self.outward, t)


def _best_blurs(cuts: _Cuts) -> Blurs:
    """The blurs that explain cuts best, sought from the middle of those known."""
    count = len(cuts.light.channels)

    @cache
    def rest(numbers: tuple[int, ...]) -> float:
        if not all(0 <= number < len(BLURS_PX) for number in numbers):
            return math.inf
        _, clear, _ = _one_step(cuts, tuple(BLURS_PX[number] for number in numbers))
        # A line of the bench may run along half of the edges and widen their steps.
        return float(np.percentile(1.0 - clear, 20.0))

    best = (len(BLURS_PX) // 2 - 1,) * count
    for k in range(count):
        while True:
            tried = [(*best[:k], best[k] + d, *best[k + 1 :]) for d in (0, -1, 1)]
            least = min(tried, key=rest)
            if least == best:
                break
            best = least
    return tuple(BLURS_PX[number] for number in best)


def _with_bands(
    cuts: _Cuts,
    blurs: Blurs,
    offsets: FloatArray,
    clear: FloatArray,
    rest: FloatArray,
    may_be: Callable[[Points], NDArray[np.bool_]],
) -> tuple[FloatArray, FloatArray]:
    """Offsets and clearness of cuts of one kind along whose edge another step may run."""
    odd = np.flatnonzero(clear < 1.0 - ODD)
    if len(odd) == 0:
        return offsets, clear
    found = cuts.some(odd).moved(offsets[odd])
    noise = NOISE * float(np.percentile(rest, 25.0))
    shift, bands = _two_steps(found, blurs, offsets[odd], noise)
    two = bands > 0.0
    inner = found.moved(shift)
    two[two] = may_be((inner.places - inner.aside)[two])
    shift, bands = np.where(two, shift, 0.0), np.where(two, bands, 0.0)
    # A band runs on along the edge; what two steps draw at single places is noise.
    is_band = np.zeros(len(offsets))
    is_band[odd] = bands > 0.0
    votes = np.mean([np.roll(is_band, k) for k in range(-ALONG, ALONG + 1)], axis=0)
    runs = votes[odd] > 0.5
    odd, bands = odd[runs], bands[runs]
    offsets[odd] += shift[runs]
    for band in np.unique(bands[bands > 0.0]).tolist():
        mine = odd[bands == band]
        windows = pair_windows(band, blurs)
        for _ in range(2):
            shift, clear[mine], _ = _nearest_fit(cuts.some(mine).moved(offsets[mine]), windows)
            offsets[mine] += shift
    return offsets, clear


def _one_step(cuts: _Cuts, blurs: Blurs) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Offsets, clearness and unexplained light of cuts with nothing but the wall at the edge."""
    offsets = _strongest(cuts, blurs)
    windows = near_windows(cuts.wall[:, None], cuts.clear, cuts.held, blurs)
    for _ in range(2):
        shift, clear, rest = _nearest_fit(cuts.moved(offsets), windows)
        offsets = offsets + shift
    return offsets, clear, rest


def _two_steps(
    cuts: _Cuts, blurs: Blurs, offsets: FloatArray, least: float
) -> tuple[FloatArray, FloatArray]:
    """Shift from a step to the inner one of two that draw a cut much better, and how far apart.

    Both are 0 where one step does as well, or two draw no more than ``least`` of the light more.
    """
    single, double, inner, apart = band_windows(blurs)
    seen = cuts.across(single.t)
    power = single.power(seen, cuts.kinds)
    one, two = single.drawn(seen, cuts.kinds).max(axis=1), double.drawn(seen, cuts.kinds)
    # The edge must lie where it is searched.
    two = np.where(np.abs(offsets[:, None] + inner) <= cuts.search + 0.5, two, -np.inf)
    best = np.argmax(two, axis=1)
    most = two[np.arange(len(two)), best]
    needed = np.maximum(least, np.maximum(BETTER * (power - most), ODD * power))
    better = most - one > needed
    return np.where(better, inner[best], 0.0), np.where(better, apart[best], 0.0)


def _strongest(cuts: _Cuts, blurs: Blurs) -> FloatArray:
    """Offsets at which the steps draw most of the light nearby; good to about a pixel."""
    windows, places, tried = wide_windows(cuts.wall, cuts.search, cuts.clear, cuts.share, blurs)
    drawn = windows.drawn(cuts.across(windows.t), cuts.kinds)
    # What is farther off is more likely a shadow's rim or a line of the bench.
    likely = np.exp(-0.5 * ((places / cuts.search - NEAR) / SPREAD) ** 2)
    for mine, is_open, may in zip(cuts.kinds, cuts.open, tried, strict=True):
        drawn[mine] = np.where(may, drawn[mine] * likely if is_open else drawn[mine], -np.inf)
    return places[np.argmax(drawn, axis=1)]


def _nearest_fit(cuts: _Cuts, windows: StepWindows) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Small shifts that leave least of the light unexplained in fixed windows.

    Also how clear the steps are, and the light left.
    """
    seen = cuts.across(windows.t)
    power, drawn = windows.power(seen, cuts.kinds), windows.drawn(seen, cuts.kinds)
    rest = power[:, None] - drawn.reshape(len(drawn), len(SHIFTS_PX), -1).max(axis=2)
    best = np.argmin(rest, axis=1)
    inner = np.clip(best, 1, len(SHIFTS_PX) - 2)
    rows = np.arange(len(rest))
    low, middle, high = (rest[rows, inner + d] for d in (-1, 0, 1))
    bend = low - 2.0 * middle + high
    shift = np.where(bend > 1e-15, 0.5 * (low - high) / np.where(bend > 1e-15, bend, 1.0), 0.0)
    offsets = SHIFTS_PX[inner] + np.clip(shift, -1.0, 1.0) * PLACE_STEP_PX
    clear = 1.0 - rest[rows, best] / np.maximum(power, 1e-12)
    return offsets, clear, rest[rows, best]
