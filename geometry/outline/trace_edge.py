"""Where exactly a part's top edge lies: a blurred-step model fitted to cuts across it.

Across the edge the light is the face, then the side wall where the camera sees it, then what lies
below: levels joined by steps of one blur. The wall's width in the picture is known from the bench,
so the top edge and the foot of the wall are told apart even where the wall is as bright as the
face. A band of shadow or a line of the bench along the edge is of no known width: where one step
draws a cut badly, two are tried, and the inner one is the edge. Steps are fitted in linear light,
where blur happens, so that blur moves no edge.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Points, some_of
from .trace_light import Blurs, LightCrop
from .trace_steps import cuts_across, power_drawn
from .trace_windows import (
    PLACE_STEP_PX,
    SHIFTS_PX,
    TAIL_PX,
    band_windows,
    near_window,
    wide_bases,
)

__all__ = ["edge_offsets"]

BLURS_PX = (0.5, 0.75, 1.1, 1.6, 2.3, 3.3)
FINE_SEARCH_PX = 4.5
"""A ring whose edge is looked for within less is fine."""
NEAR, SPREAD = 0.15, 0.4
"""Where off the rough edge the edge is looked for most: shares of how far off it may be."""
BAND_SHIFTS_PX = np.arange(-0.75, 0.76, 0.25)
"""How far two steps may be off the distance at which they were found."""
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
    ways = [
        _Way(light, float(w), search_px, float(c), float(s), shift_px[mine], may_be)
        for (w, c, s), mine in zip(kinds, groups, strict=True)
    ]
    seen_px = places_px + shift_px
    # One lens took the whole part: its blur is found on the first ring, for all others too. But
    # across the stairs of a rough ring it seems wider than across a fine one.
    rough = search_px > FINE_SEARCH_PX
    if rough not in light.blurs:
        light.blurs[rough] = _best_blurs(ways, groups, seen_px, outward_px)
    blurs = light.blurs[rough]
    offsets, clear = np.zeros(len(places_px)), np.zeros(len(places_px))
    for way, mine in zip(ways, groups, strict=True):
        read = _with_bands if way.open else _one_step
        offsets[mine], clear[mine] = read(way, seen_px[mine], outward_px[mine], blurs)[:2]
    return offsets, clear


@dataclass(frozen=True, slots=True)
class _Way:
    """How (N,) cuts are read: the wall's width, how far to search, how far nothing else comes, px.

    Also the top edge's share of the light's change, infinite where not known, and how far from the
    edge the cuts are laid.
    """

    light: LightCrop
    wall: float
    search: float
    clear: float
    share: float
    shift: Points
    may_be: Callable[[Points], NDArray[np.bool_]]

    @property
    def held(self) -> float:
        """The share by which steps nearby are held: where each is clear it tells more itself."""
        is_clear = self.wall > THIN_PX and FAINT < self.share < 1.0 - FAINT
        return math.inf if is_clear else self.share

    @property
    def open(self) -> bool:
        """Whether what comes after the edge is not known."""
        return self.wall == 0.0 and math.isinf(self.clear)


def _best_blurs(
    ways: list[_Way], groups: list[NDArray[np.int64]], places: Points, outward: Points
) -> Blurs:
    """The blurs that explain a sample of the cuts best, sought from the middle of those known."""
    most = sorted(range(len(groups)), key=lambda k: -len(groups[k]))[:2]
    samples = [(ways[k], some_of(groups[k], 150)) for k in most]
    count = len(ways[0].light.channels)

    @cache
    def rest(numbers: tuple[int, ...]) -> float:
        if not all(0 <= number < len(BLURS_PX) for number in numbers):
            return math.inf
        blurs = tuple(BLURS_PX[number] for number in numbers)
        fits = [_one_step(way, places[mine], outward[mine], blurs) for way, mine in samples]
        # A line of the bench may run along half of the edges and widen their steps.
        return float(np.percentile(np.concatenate([1.0 - clear for _, clear, _ in fits]), 20.0))

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
    way: _Way, places: Points, outward: Points, blurs: Blurs
) -> tuple[FloatArray, FloatArray]:
    """Offsets and clearness of cuts along whose edge another step may run."""
    offsets, clear, rest = _one_step(way, places, outward, blurs)
    odd = np.flatnonzero(clear < 1.0 - ODD)
    if len(odd) == 0:
        return offsets, clear
    at = places[odd] + offsets[odd, None] * outward[odd]
    noise = NOISE * float(np.percentile(rest, 25.0))
    shift, bands = _two_steps(way, at, outward[odd], blurs, offsets[odd], noise)
    two = bands > 0.0
    two[two] = way.may_be((at + shift[:, None] * outward[odd] - way.shift[odd])[two])
    shift, bands = np.where(two, shift, 0.0), np.where(two, bands, 0.0)
    # A band runs on along the edge; what two steps draw at single places is noise.
    found = np.zeros(len(places))
    found[odd] = bands > 0.0
    votes = np.mean([np.roll(found, k) for k in range(-ALONG, ALONG + 1)], axis=0)
    runs = votes[odd] > 0.5
    odd, bands = odd[runs], bands[runs]
    offsets[odd] += shift[runs]
    for band in np.unique(bands[bands > 0.0]):
        mine = odd[bands == band]
        for _ in range(2):
            at = places[mine] + offsets[mine, None] * outward[mine]
            widths = tuple((band + BAND_SHIFTS_PX).tolist())
            shift, clear[mine], _ = _nearest_fit(way, at, outward[mine], blurs, widths)
            offsets[mine] += shift
    return offsets, clear


def _one_step(
    way: _Way, places: Points, outward: Points, blurs: Blurs
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Offsets, clearness and unexplained light of cuts with nothing but the wall at the edge."""
    offsets = _strongest(way, places, outward, blurs)
    for _ in range(2):
        at = places + offsets[:, None] * outward
        shift, clear, rest = _nearest_fit(way, at, outward, blurs, (way.wall,))
        offsets = offsets + shift
    return offsets, clear, rest


def _two_steps(
    way: _Way,
    places: Points,
    outward: Points,
    blurs: Blurs,
    offsets: FloatArray,
    least: float,
) -> tuple[FloatArray, FloatArray]:
    """Shift from a step to the inner one of two that draw a cut much better, and how far apart.

    Both are 0 where one step does as well, or two draw no more than ``least`` of the light more.
    """
    single, double, inner, apart = band_windows(blurs)
    seen = single.seen(way.light, places, outward)
    power, even = single.power(seen)
    one, two = single.drawn(seen).max(axis=1), double.drawn(seen)
    # The edge must lie where it is searched.
    two = np.where(np.abs(offsets[:, None] + inner) <= way.search + 0.5, two, -np.inf)
    best = np.argmax(two, axis=1)
    most = two[np.arange(len(two)), best]
    needed = np.maximum(least, np.maximum(BETTER * (power - most), ODD * (power - even)))
    better = most - one > needed
    return np.where(better, inner[best], 0.0), np.where(better, apart[best], 0.0)


def _strongest(way: _Way, places: Points, outward: Points, blurs: Blurs) -> FloatArray:
    """Offsets at which the steps draw most of the light nearby; good to about a pixel."""
    t, candidates, weight, bases = wide_bases(way.wall, way.search, way.clear, way.share, blurs)
    cuts = cuts_across(way.light, places, outward, t)
    explained = -((cuts @ (weight**2).T) ** 2).sum(axis=0) / np.sum(weight**2, axis=1)
    for channel, basis in zip(cuts, bases, strict=True):
        explained += power_drawn(channel, basis)
    if way.open:
        # What is farther off is more likely a shadow's rim or a line of the bench.
        explained *= np.exp(-0.5 * ((candidates / way.search - NEAR) / SPREAD) ** 2)
    return candidates[np.argmax(explained, axis=1)]


def _nearest_fit(
    way: _Way, places: Points, outward: Points, blurs: Blurs, widths: tuple[float, ...]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Small shifts that leave least of the light unexplained in one fixed window.

    A second step comes after one of the widths, unless that is 0. Also how clear the steps are,
    and the light left.
    """
    window = near_window(widths, way.wall, way.clear, way.held, blurs)
    seen = window.seen(way.light, places, outward)
    power, even = window.power(seen)
    each = window.drawn(seen).reshape(len(places), len(SHIFTS_PX), len(widths))
    rest = power[:, None] - each.max(axis=2)
    best = np.argmin(rest, axis=1)
    inner = np.clip(best, 1, len(SHIFTS_PX) - 2)
    rows = np.arange(len(places))
    low, middle, high = (rest[rows, inner + d] for d in (-1, 0, 1))
    bend = low - 2.0 * middle + high
    shift = np.where(bend > 1e-15, 0.5 * (low - high) / np.where(bend > 1e-15, bend, 1.0), 0.0)
    offsets = SHIFTS_PX[inner] + np.clip(shift, -1.0, 1.0) * PLACE_STEP_PX
    clear = 1.0 - rest[rows, best] / np.maximum(power - even, 1e-12)
    return offsets, clear, rest[rows, best]
