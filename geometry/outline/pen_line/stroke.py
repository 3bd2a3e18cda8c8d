"""The middle of a pen line to a fraction of a pixel, from both edges of its ink.

A round pen's ink is its line swept by a disk (Minkowski's sum): an edge of the ink, moved back by a
ball as wide as the pen that rolls along it (Sternberg 1986), is the line again. The edge outside of
a turn gives corners back sharp, and rounds as round as they were drawn; where the line is straight
both edges do. Ways along the line are closed chains, read forward and backward (Rabiner 1989).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Indices, Points, dots
from ..trace import (
    USUAL_BLUR_PX,
    RimBand,
    circular_smooth,
    marginals,
    outward_of,
    restored_corners,
    smooth_ring,
    unroll,
    wander,
)

__all__ = ["Stroke", "read_stroke"]

SEARCH_MM = 2.0
"""How far to both sides of a rough ring the light is looked at: a line may run half as far off."""
BESIDE_WIDTHS, BESIDE_PX = 0.9, 4.0
"""How far off its middle a line is looked at once its width is known: the half of it, blur to
either side, and what a corner's tip lies off a smoothed ring."""
STEP_PX, MOST_STEPS, POOLED = 0.5, 80, 1.0
"""From sample to sample across the line, how many to either side at most, and over how many columns
they are averaged."""
LIKELY, OUTLIER, ROUGH = 0.15, 1e-4, (0.4, 1.2, 0.05)
"""Share of the usual ink by which a place must be paler to be less likely by a factor of e, how
likely the line is anywhere, and how it wanders off a rough ring (see `wander`), as edges do."""
FAINT = 0.35
"""Share of the line's usual ink below which a place counts as a gap."""
PALE = 0.25
"""An edge's place is the mean of where the ink has from that to 1 less that of its depth: where it
has the half, but less of chance."""
BROAD_PX = 1.5
"""By so much, or by a quarter of its width, a line is broader where something else joins it."""
TURN_RAD = 1.0
"""Where a line turns by that over a pen's width and a half, its outer edge alone tells: the inner
one takes a twelfth of the width off such a corner."""
APART, CALM, FAR = 4, (0.06, 0.4, 0.03), 1e-8
"""Columns so far apart tell something of their own; how a line wanders off its ring, and how likely
what is told is at least."""
CORNER_RAD, SIDE = 0.7, 8
"""Where a line turns by less within as many columns as tell a corner's side, a lens takes less off
it than noise."""
LEAST_PX = 0.1
"""How sure a place may be at best: what JPEG and noise leave of half a line's depth."""


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """A line that was read.

    ``middle`` (N, 2) px are places along it, ``sigma`` (N,) their standard deviation, ``ink`` (N,)
    how much darker than the paper it is there, as a share of what it usually is; ``width_mm`` is
    its width at half its depth.
    """

    middle: Points
    sigma: FloatArray
    ink: FloatArray
    width_mm: float

    @property
    def clear(self) -> NDArray[np.bool_]:
        """(N,) whether the line shows."""
        return np.asarray(self.ink > FAINT)


def read_stroke(
    pixels: NDArray[Any], ring: Points, mm_per_px: float, to_mm: Callable[[Points], Points]
) -> Stroke | None:
    """Read a line along a rough ring; None where no line shows.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    ring : (N, 2) float
        Rough ring, px.
    mm_per_px : float
        Size of a pixel, about.
    to_mm : callable
        Gives (N, 2) mm on the paper for (N, 2) px.
    """
    reach = SEARCH_MM / mm_per_px + 3.0
    for smoothing, how in ((3.0, ROUGH), (1.5, ROUGH), (1.5, CALM)):
        look = _Unrolled.of(pixels, smooth_ring(ring, smoothing), reach, to_mm)
        edges = look.edges()
        if np.isnan(edges[0] - edges[1]).all():
            return None
        told, width_mm = look.middle(edges)
        at, sigma = _settled(told, how)
        kept = _unfolded(look.band.places(at), look.band.outward)
        if len(kept) <= 2 * SIDE:
            return None
        ring = look.band.places(at)[kept]
        reach = BESIDE_WIDTHS * float(np.nanmedian(edges[0] - edges[1])) + BESIDE_PX
    bend = np.abs(look.bend(SIDE // 2))[kept]
    return _sharpened(Stroke(ring, sigma[kept], look.ink[kept], width_mm), bend)


@dataclass(frozen=True, slots=True, eq=False)
class _Unrolled:
    """Columns across a line: (N, U) light in the mixture of colours that shows it best.

    ``paper`` (2, N) is the light beyond the line's outer and inner edges, ``way`` (N,) the number
    of the sample where it runs, and ``ink`` (N,) how much darker than the darker paper it is there,
    as a share of what it usually is. ``feet_mm`` (N, 2) and ``outward_mm`` (N, 2), a pixel's step,
    are the columns' on the paper.
    """

    band: RimBand
    light: FloatArray
    paper: FloatArray
    way: Indices
    ink: FloatArray
    feet_mm: Points
    outward_mm: Points

    @classmethod
    def of(
        cls, pixels: NDArray[Any], ring: Points, reach_px: float, to_mm: Callable[[Points], Points]
    ) -> _Unrolled:
        """Look along a ring as far as ``reach_px`` to both sides."""
        count = min(int(np.ceil(reach_px / STEP_PX)), MOST_STEPS)
        reach = np.linspace(-reach_px, reach_px, 2 * count + 1)
        outward = outward_of(ring, 4.0)
        band = unroll(pixels, ring, outward, reach).pooled(POOLED)
        usual = np.median(band.light, axis=0)
        weights = np.maximum(usual[[0, -1]].mean(axis=0) - usual.min(axis=0), 1e-6)
        light = band.light @ (weights / weights.sum())
        paper = np.stack([light[:, side].max(axis=1) for side in (reach > 0.0, reach < 0.0)])
        # An edge of the paper is no line: the darker side counts.
        deep = paper.min(axis=0)[:, None] - light
        most = deep.max(axis=1, keepdims=True)
        likely = np.exp((deep - most) / (LIKELY * max(float(np.median(most)), 1e-3))) + OUTLIER
        likely *= np.exp(-0.5 * (2.0 * reach / reach[-1]) ** 2)
        way = _chained(likely, reach[1] - reach[0], ROUGH).argmax(axis=1)
        ink = deep[np.arange(len(ring)), way]
        ink /= max(float(np.median(ink)), 1e-3)
        feet = to_mm(ring)
        return cls(band, light, paper, way, ink, feet, to_mm(ring + outward) - feet)

    @property
    def spacing_px(self) -> float:
        """From column to column."""
        feet = self.band.feet
        return float(np.hypot(*(np.roll(feet, -1, axis=0) - feet).T).mean())

    def edges(self) -> FloatArray:
        """(2, N) px outward where the ink ends: its outer edge and its inner one.

        NaN where it does not end, as where another line crosses, and where it is broader beside.
        """
        row, last = np.arange(len(self.way)), self.light.shape[1] - 1
        step = self.band.reach[1] - self.band.reach[0]
        deep = self.paper - circular_smooth(self.light[row, self.way], 3.0)
        found = np.full(self.paper.shape, np.nan)
        for k, side in enumerate((1, -1)):
            way = self.way if side > 0 else last - self.way
            dark = self.paper[k][:, None] - self.light[:, ::side]
            share = dark / np.maximum(deep[k], 1e-9)[:, None]
            share = np.clip((share - PALE) / (1.0 - 2.0 * PALE), 0.0, 1.0)
            past = (share <= 0.0) & (np.arange(last + 1) > way[:, None])
            length = np.cumsum(share, axis=1) - 0.5 * share
            across = (length[row, past.argmax(axis=1)] - length[row, way]) * step
            ends = past.any(axis=1) & (self.ink > FAINT) & (deep[k] > FAINT * np.median(deep))
            found[k, ends] = (self.band.reach[self.way] + side * across)[ends]
        if np.isnan(found[0] - found[1]).all():
            return found
        half = 0.5 * float(np.nanmedian(found[0] - found[1]))
        missing = circular_smooth(np.isnan(found.T) * 1.0, max(half / self.spacing_px, 1.0)).T
        broad = np.array([[1.0], [-1.0]]) * found > half + max(0.5 * half, BROAD_PX)
        return np.where((missing > 0.02) & broad, np.nan, found)

    def middle(self, edges: FloatArray) -> tuple[FloatArray, float]:
        """(N,) px outward of the line's middle, NaN where no edge tells it, and its mm wide."""
        scale = np.hypot(*self.outward_mm.T)
        width = edges[0] - edges[1]
        width_mm = float(np.nanmedian(width * scale))
        columns = int(np.ceil(float(np.nanmedian(width)) / self.spacing_px))
        outer = np.clip(0.5 + 0.5 * self.bend(3 * columns // 4 + 2) / TURN_RAD, 0.0, 1.0)
        near = np.arange(-columns, columns + 1) + np.arange(len(outer))[:, None]
        told = [self._rolled(edges[k], near, width_mm, side) for k, side in enumerate((1, -1))]
        weight = np.stack((outer, 1.0 - outer)) * ~np.isnan(told)
        total = weight.sum(axis=0)
        at = (weight * np.nan_to_num(told)).sum(axis=0) / np.maximum(total, 1e-9)
        at = np.clip(at, self.band.reach[0], self.band.reach[-1])
        return np.where(total > 0.01, at, np.nan), width_mm

    def bend(self, reach: int) -> FloatArray:
        """(N,) about how many rad the ring turns from so many columns before to as many after."""
        outward = self.band.outward
        turned = np.roll(outward, -reach, axis=0) - np.roll(outward, reach, axis=0)
        return np.asarray(turned[:, 1] * outward[:, 0] - turned[:, 0] * outward[:, 1])

    def _rolled(self, edge: FloatArray, near: Indices, width_mm: float, side: int) -> FloatArray:
        """(N,) px outward of the middle of a ball that touches an edge's ``near`` (N, K) places."""
        scale = np.hypot(*self.outward_mm.T)
        outward = (self.outward_mm / scale[:, None])[:, None]
        places = self.feet_mm + self.outward_mm * edge[:, None]
        off = places[near % len(edge)] - self.feet_mm[:, None]
        along = off[..., 0] * outward[..., 1] - off[..., 1] * outward[..., 0]
        room = 0.25 * width_mm**2 - along**2
        touch = side * (off * outward).sum(axis=2) - np.sqrt(np.maximum(room, 0.0))
        touch = np.fmin.reduce(np.where(room > 0.0, touch, np.nan), axis=1)
        return np.where(np.isnan(edge), np.nan, side * touch / scale)


def _chained(likely: FloatArray, step: float, how: tuple[float, float, float]) -> FloatArray:
    """(N, S) probability of each place of a closed chain by what is seen, (N, S), at each."""
    moves = wander(likely.shape[1], step, *how)
    return marginals(likely[:, None], moves, np.ones(1), 0.0)[:, 0]


def _settled(told: FloatArray, how: tuple[float, float, float]) -> tuple[FloatArray, FloatArray]:
    """(N,) px outward where a line runs and its deviation, from what is told of it, NaN or not.

    Its noise is what it is off the mean of places on both sides, 1.5 times its variance; columns
    that are pooled tell the same.
    """
    off = told - 0.5 * (np.roll(told, APART) + np.roll(told, -APART))
    noise = float(np.nanmedian(np.abs(off))) / (0.6745 * np.sqrt(1.5))
    noise = max(noise * np.sqrt(2.0 * np.sqrt(np.pi) * POOLED), 0.5 * LEAST_PX)
    tried = np.linspace(-1.0, 1.0, 81) * max(float(np.nanmax(np.abs(told))), 1.0)
    likely = np.exp(-0.5 * ((tried - told[:, None]) / noise) ** 2) + FAR
    odds = _chained(np.where(np.isnan(likely), 1.0, likely), tried[1] - tried[0], how)
    at = odds @ tried
    return at, np.sqrt(LEAST_PX**2 + np.maximum(odds @ tried**2 - at**2, 0.0))


def _unfolded(places: Points, outward: Points) -> Indices:
    """Numbers of the places that are left of a ring where it does not run back over itself."""
    travel = np.column_stack((-outward[:, 1], outward[:, 0]))
    kept = np.arange(len(places))
    while True:
        step = np.roll(places[kept], -1, axis=0) - places[kept]
        ends = travel[kept], np.roll(travel[kept], -1, axis=0)
        back = (dots(step, ends[0]) < 0.0) & (dots(step, ends[1]) < 0.0)
        if not back.any():
            return kept
        kept = kept[~(back | np.roll(back, 1))]


def _sharpened(stroke: Stroke, bend: FloatArray) -> Stroke:
    """A stroke whose corners are restored where it bends, (N,) rad, but not at its ends."""
    ended = circular_smooth((stroke.ink < 0.5) * 1.0, 0.5 * SIDE) > 0.01
    near = (circular_smooth((bend > CORNER_RAD) * 1.0, 0.5 * SIDE) > 0.01) & ~ended
    read = np.column_stack((stroke.middle, stroke.sigma, stroke.ink, np.arange(len(near))))
    with np.errstate(invalid="ignore"):
        sharp = restored_corners(stroke.middle, stroke.sigma, read[:, 3:], USUAL_BLUR_PX)
    rows = np.column_stack(sharp)
    rows = np.concatenate((read[~near], rows[near[rows[:, 4].astype(np.int64)]]))
    rows = rows[np.argsort(rows[:, 4], kind="stable")]
    return Stroke(rows[:, :2], rows[:, 2], rows[:, 3], stroke.width_mm)
