"""The middle of a pen line to a fraction of a pixel, from both edges of its ink.

A round pen's ink is its line swept by a disk (Minkowski's sum): an edge of the ink, moved back by a
ball as wide as the pen that rolls along it (Sternberg 1986), is the line again. The edge outside of
a turn gives corners back sharp, and rounds as round as they were drawn; where the line is straight
both edges do.
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
"""How far off the rough ring the line may run."""
BESIDE_WIDTHS, BESIDE_PX = 0.9, 4.0
"""How far off its middle a line is looked at once its width is known: the half of it, blur to
either side, and what a corner's tip lies off a smoothed ring."""
STEP_PX, POOLED = 0.5, 1.0
"""From sample to sample across the line, and over how many columns they are averaged."""
FAINT = 0.35
"""Share of the line's usual ink below which a place counts as a gap."""
PALE = 0.25
"""An edge's place is the mean of where the ink has from that to 1 less that of its depth."""
BROAD_PX = 1.5
"""By so much, or by a quarter of its width, a line is broader where something else joins it."""
LIKELY, OUTLIER = 0.15, 1e-4
"""Share of the usual ink by which a place must be paler to be less likely by a factor of e, and how
likely the line is anywhere, whatever is seen."""
CORNER_RAD, SIDE = 0.7, 8
"""Where a line turns by less over a pen's width and a half, a lens rounds it by less than noise;
and places that tell the sides of a corner."""
TURN_RAD = 1.0
"""Where a line turns by that over a pen's width and a half, its outer edge alone tells: the inner
one takes a twelfth of the width off such a corner."""
APART, STATES, CALM = 4, 40, (0.06, 0.4, 0.03)
"""Columns that are pooled tell the same, those so far apart do not; places tried to either side;
and how a line wanders off its ring from column to column (see `wander`), as an edge does."""
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
    pixels: NDArray[Any], ring: Points, to_mm: Callable[[Points], Points]
) -> Stroke | None:
    """Read a line along a rough ring; None where no line shows.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        Upright photo.
    ring : (N, 2) float
        Rough ring, px.
    to_mm : callable
        Gives (N, 2) mm on the paper for (N, 2) px.
    """
    reach = SEARCH_MM / _size_mm(ring, to_mm) + 3.0
    for turn, smoothing in enumerate((3.0, 1.5, 1.5)):
        look = _Look.of(pixels, smooth_ring(ring, smoothing), reach, is_rough=turn == 0)
        edges = look.edges()
        width = edges[0] - edges[1]
        if np.isnan(width).all():
            return None
        told, width_mm = look.middle(edges, to_mm)
        at, sigma = _settled(told) if turn == 2 else (_bridged(told), told)
        kept = _unfolded(look.band.places(at), look.band.outward)
        ring = look.band.places(at)[kept]
        reach = BESIDE_WIDTHS * float(np.nanmedian(width)) + BESIDE_PX
    bend = look.bend(SIDE // 2)
    return _sharpened(Stroke(ring, sigma[kept], look.ink[kept], width_mm), np.abs(bend[kept]))


def _sharpened(stroke: Stroke, bend: FloatArray) -> Stroke:
    """A stroke whose corners are restored where it bends by more than `CORNER_RAD`, not at ends."""
    faint = circular_smooth((stroke.ink < 0.5) * 1.0, 0.5 * SIDE) > 0.01
    near = (circular_smooth((bend > CORNER_RAD) * 1.0, 0.5 * SIDE) > 0.01) & ~faint
    number = np.arange(len(near))
    told = np.column_stack((number, stroke.ink))
    sharp, wide, told = restored_corners(stroke.middle, stroke.sigma, told, USUAL_BLUR_PX)
    some = near[told[:, 0].astype(np.int64)]
    order = np.argsort(np.concatenate((number[~near], told[some, 0])), kind="stable")
    middle, sigma, ink = (
        np.concatenate((read[~near], restored[some]))[order]
        for read, restored in (
            (stroke.middle, sharp), (stroke.sigma, wide), (stroke.ink, told[:, 1])
        )
    )
    return Stroke(middle, sigma, ink, stroke.width_mm)


def _bridged(told: FloatArray) -> FloatArray:
    kept = np.flatnonzero(~np.isnan(told))
    return np.interp(np.arange(len(told)), kept, told[kept], period=len(told))


def _settled(told: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(N,) px outward where a line runs and its deviation, from what is told of it, NaN or not.

    What is told is off by as much as from the mean of places farther off than columns are pooled.
    """
    off = told - 0.5 * (np.roll(told, APART) + np.roll(told, -APART))
    noise = float(np.nanmedian(np.abs(off))) / (0.6745 * np.sqrt(1.5))
    noise = max(noise * np.sqrt(2.0 * np.sqrt(np.pi) * POOLED), 0.5 * LEAST_PX)
    tried = np.arange(-1.0, 1.0 + 1e-9, 1.0 / STATES) * max(float(np.nanmax(np.abs(told))), 1.0)
    likely = np.exp(-0.5 * ((tried - told[:, None]) / noise) ** 2) + 1e-8
    likely[np.isnan(told)] = 1.0
    moves = wander(len(tried), tried[1] - tried[0], *CALM)
    odds = marginals(likely[:, None], moves, np.ones((len(told), 1)), 0.0)[:, 0]
    at = odds @ tried
    return at, np.sqrt(LEAST_PX**2 + np.maximum(odds @ tried**2 - at**2, 0.0))


@dataclass(frozen=True, slots=True, eq=False)
class _Look:
    """Columns across a line: (N, U) light in the mixture of colours that shows it best.

    ``paper`` (2, N) is the light beyond the line's outer and inner edges, ``way`` (N,) the number
    of the sample where it runs, and ``ink`` (N,) how much darker than the darker paper it is there,
    as a share of what it usually is.
    """

    band: RimBand
    light: FloatArray
    paper: FloatArray
    way: Indices
    ink: FloatArray

    @classmethod
    def of(cls, pixels: NDArray[Any], ring: Points, reach_px: float, *, is_rough: bool) -> _Look:
        """Look along a ring as far as ``reach_px`` to both sides."""
        count = int(np.ceil(reach_px / STEP_PX))
        reach = np.arange(-count, count + 1) * STEP_PX
        band = unroll(pixels, ring, outward_of(ring, 4.0), reach).pooled(POOLED)
        # The mixture of colours in which the usual column shows its line best.
        usual = np.median(band.light, axis=0)
        weights = np.maximum(usual[[0, -1]].mean(axis=0) - usual.min(axis=0), 1e-6)
        light = band.light @ (weights / weights.sum())
        paper = np.stack([light[:, part].max(axis=1) for part in (reach > 0, reach < 0)])
        # An edge of the paper is no line: the darker side counts.
        deep = paper.min(axis=0)[:, None] - light
        most = deep.max(axis=1, keepdims=True)
        likely = np.exp((deep - most) / (LIKELY * max(float(np.median(most)), 1e-3))) + OUTLIER
        likely *= np.exp(-0.5 * (2.0 * reach / reach[-1]) ** 2)
        if is_rough:
            moves = wander(len(reach), STEP_PX, 0.4, 1.2, 0.05)
            likely = marginals(likely[:, None], moves, np.ones((len(ring), 1)), 0.0)[:, 0]
        way = likely.argmax(axis=1)
        ink = deep[np.arange(len(ring)), way]
        return cls(band, light, paper, way, ink / max(float(np.median(ink)), 1e-3))

    @property
    def spacing_px(self) -> float:
        """From column to column."""
        feet = self.band.feet
        return float(np.hypot(*(np.roll(feet, -1, axis=0) - feet).T).mean())

    def edges(self) -> FloatArray:
        """(2, N) px outward where the ink ends: its outer edge and its inner one.

        NaN where it does not end, as where another line crosses.
        """
        row, last = np.arange(len(self.way)), self.light.shape[1] - 1
        deep = self.paper - circular_smooth(self.light[row, self.way], 3.0)
        found = np.full(self.paper.shape, np.nan)
        for k, side in enumerate((1, -1)):
            way = self.way if side > 0 else last - self.way
            dark = (self.paper[k] - self.light[:, ::side].T).T / np.maximum(deep[k], 1e-9)[:, None]
            share = np.clip((dark - PALE) / (1.0 - 2.0 * PALE), 0.0, 1.0)
            past = (share <= 0.0) & (np.arange(last + 1) > way[:, None])
            length = np.cumsum(share, axis=1) - 0.5 * share
            across = (length[row, past.argmax(axis=1)] - length[row, way]) * STEP_PX
            ends = past.any(axis=1) & (self.ink > FAINT) & (deep[k] > FAINT * np.median(deep))
            edge = self.band.reach[self.way] + side * across
            found[k, ends] = edge[ends]
        # Beside what crosses it a line is broader too.
        half = 0.5 * float(np.nanmedian(found[0] - found[1]))
        missing = np.isnan(found.T) * 1.0
        beside = circular_smooth(missing, max(half / self.spacing_px, 1.0)).T > 0.02
        broad = np.array([[1.0], [-1.0]]) * found > half + max(0.5 * half, BROAD_PX)
        return np.where(beside & broad, np.nan, found)

    def middle(
        self, edges: FloatArray, to_mm: Callable[[Points], Points]
    ) -> tuple[FloatArray, float]:
        """(N,) px outward of the line's middle, NaN where no edge tells it, and its mm wide."""
        scale = self.scale_mm(to_mm)
        width_mm = float(np.nanmedian((edges[0] - edges[1]) * scale))
        width = int(np.ceil(width_mm / (scale.mean() * self.spacing_px)))
        share = np.clip(0.5 + 0.5 * self.bend(3 * width // 4 + 2) / TURN_RAD, 0.0, 1.0)
        told = np.stack([self._rolled(edges[k], width, width_mm, to_mm, (1, -1)[k]) for k in (0, 1)])
        weight = np.stack((share, 1.0 - share)) * ~np.isnan(told)
        total = weight.sum(axis=0)
        at = (weight * np.nan_to_num(told)).sum(axis=0) / np.maximum(total, 1e-9)
        return np.where(total > 0.01, at, np.nan), width_mm

    def bend(self, reach: int) -> FloatArray:
        """(N,) about how many rad the ring turns from so many columns before to as many after."""
        outward = self.band.outward
        turned = np.roll(outward, -reach, axis=0) - np.roll(outward, reach, axis=0)
        return np.asarray(turned[:, 1] * outward[:, 0] - turned[:, 0] * outward[:, 1])

    def scale_mm(self, to_mm: Callable[[Points], Points]) -> FloatArray:
        """(N,) mm of a pixel across the line."""
        feet = self.band.feet
        return np.hypot(*(to_mm(feet + self.band.outward) - to_mm(feet)).T)

    def _rolled(
        self, edge: FloatArray, reach: int, width_mm: float, to_mm: Callable[[Points], Points], side: int
    ) -> FloatArray:
        """(N,) px outward of the middle of a ball that rolls along an edge; NaN where that is."""
        near = (np.arange(len(edge))[:, None] + np.arange(-reach, reach + 1)) % len(edge)
        feet = to_mm(self.band.feet)
        outward = to_mm(self.band.feet + self.band.outward) - feet
        scale = np.hypot(*outward.T)
        outward = (outward / scale[:, None])[:, None]
        off = to_mm(self.band.places(np.nan_to_num(edge)))[near] - feet[:, None]
        across = (off * outward).sum(axis=2)
        along = off[..., 0] * outward[..., 1] - off[..., 1] * outward[..., 0]
        room = 0.25 * width_mm**2 - along**2
        touch = side * across - np.sqrt(np.maximum(room, 0.0))
        touch = np.where((room > 0.0) & ~np.isnan(edge)[near], touch, np.inf).min(axis=1)
        return np.where(np.isnan(edge) | np.isinf(touch), np.nan, side * touch / scale)


def _unfolded(places: Points, outward: Points) -> Indices:
    """Numbers of the places that are left of a ring where it does not run back over itself."""
    travel = np.column_stack((-outward[:, 1], outward[:, 0]))
    kept = np.arange(len(places))
    while True:
        step = np.roll(places[kept], -1, axis=0) - places[kept]
        back = (dots(step, travel[kept]) < 0.0) & (dots(step, np.roll(travel[kept], -1, axis=0)) < 0.0)
        if not back.any():
            return kept
        kept = kept[~(back | np.roll(back, 1))]


def _size_mm(ring: Points, to_mm: Callable[[Points], Points]) -> float:
    """Mm of a pixel, about, along a ring."""
    lengths = [np.hypot(*np.diff(places, axis=0).T).sum() for places in (to_mm(ring), ring)]
    return float(lengths[0] / lengths[1])
