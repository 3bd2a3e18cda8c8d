"""The empty bench, predicted: what a pixel would show if no part lay there.

A printed line is a factor on the mat's light that depends only on where across the line one looks.
So one profile of factors along x and one along y tell every line, its width, its weight and its
true
place; each is the median over many looks along the line, which no part covers for long. Between the
lines the mat's light is a smooth field: the log of it a polynomial of degree 4 (Legendre's, so that
a lamp's cosine to the fourth over the mat is followed to a hundredth), fitted robustly (Tukey 1977:
by medians) to the cells whose lines are seen, so that nothing that lies on the mat is in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from .light import light_at

if TYPE_CHECKING:
    from ...bench.bench import Bench

__all__ = ["Bed", "has_grid", "pixel_mm", "predict_bed"]

FEWEST_CROSSINGS = 9
"""Crossings of a grid, seen in the photo, from which its lines and colours are known."""

FINEST_MM = 0.5
"""Half a millimetre, the finest grid: what is nearer is on one line."""
DEGREE = 4
LOOKS = 81
"""Places along a line that are looked at: a median of so many is true to a tenth of the noise."""


@dataclass(frozen=True, slots=True, eq=False)
class Bed:
    """The printed grid as factors on the mat's light, and the mat's light between the lines.

    ``profiles`` are (n, 3) deviations of the factor from 1 along x and along y, every ``step_mm``
    from ``low_mm``; ``strongest`` (3,) that of a line in full; ``trend`` (15, 3) the polynomial.
    """

    low_mm: Points
    high_mm: Points
    pitch_mm: float
    step_mm: float
    profiles: tuple[FloatArray, FloatArray]
    strongest: FloatArray
    trend: FloatArray

    def holds(self, places_mm: Points) -> NDArray[np.bool_]:
        """Whether (N, 2) places lie where the grid was seen."""
        x, y = ((places_mm >= self.low_mm) & (places_mm <= self.high_mm)).T
        return np.asarray(x & y)

    def factors(self, places_mm: Points, width_mm: Points | None = None) -> FloatArray:
        """(N, 3) factor of the lines on the light, mean over (N, 2) ``width_mm`` on the axes."""
        parts = []
        for axis in (0, 1):
            profile = self.profiles[axis]
            at = (places_mm[:, axis] - self.low_mm[axis]) / self.step_mm
            if width_mm is not None:
                half = np.maximum(0.5 * width_mm[:, axis] / self.step_mm, 0.5)
                total = np.vstack((np.zeros((1, 3)), np.cumsum(profile, axis=0)))
                knots = np.arange(len(total)) - 0.5
                ends = [_rows(total, at + side * half - knots[0]) for side in (-1.0, 1.0)]
                parts.append((ends[1] - ends[0]) / (2.0 * half[:, None]))
            else:
                parts.append(_rows(profile, at))
        x, y = parts
        # What one line covers the other cannot cover again.
        full = np.where(np.abs(self.strongest) > 1e-6, self.strongest, 1.0)
        return np.asarray(1.0 + x + y - x * y / full)

    def light(self, places_mm: Points) -> FloatArray:
        """(N, 3) light of the lit, empty mat with its lines."""
        return self.trend_light(places_mm) * self.factors(places_mm)

    def trend_light(self, places_mm: Points) -> FloatArray:
        """(N, 3) light of the lit mat between its lines."""
        return np.asarray(np.exp(_terms(self._unit(places_mm)) @ self.trend))

    def _unit(self, places_mm: Points) -> Points:
        """Places as -1 to 1 over the grid; beyond it the light is that of its border."""
        unit = 2.0 * (places_mm - self.low_mm) / (self.high_mm - self.low_mm) - 1.0
        return np.asarray(np.clip(unit, -1.0, 1.0))


def has_grid(bench: Bench) -> bool:
    """Whether so much of a printed grid was found that the empty bench can be foreseen."""
    return len(bench.residuals.places_px) >= FEWEST_CROSSINGS


def predict_bed(pixels: NDArray[Any], bench: Bench) -> Bed | None:
    """Return the empty bench where a grid was found on it, or None."""
    if not has_grid(bench):
        return None
    nodes = bench.to_plane(bench.residuals.places_px)
    pitch = _pitch(nodes)
    low, high = nodes.min(axis=0) - 0.5 * pitch, nodes.max(axis=0) + 0.5 * pitch
    per_cell = int(np.clip(np.ceil(2.0 * pitch / pixel_mm(bench, bench.camera.center_px)), 16, 128))
    looks = [_look_along(pixels, bench, low, high, pitch, per_cell, axis) for axis in (0, 1)]
    # Levels of cells that show a line; where hardly one does, as on a fine pale grid, of all.
    told = [np.isfinite(look.level).all(axis=-1) for look in looks]
    bare = [known & ~look.covered for known, look in zip(told, looks, strict=True)]
    if sum(map(np.sum, bare)) > 0.25 * sum(map(np.sum, told)):
        told = bare
    bed = Bed(
        low, high, pitch, pitch / per_cell, (np.zeros((1, 3)),) * 2, np.zeros(3), np.zeros((1, 3))
    )
    units = [bed._unit(look.middle.reshape(-1, 2)) for look in looks]
    logs = [np.log(look.level.reshape(-1, 3)) for look in looks]
    some = [known.ravel() for known in told]
    trend, limit = _robust_trend(
        np.vstack([unit[k] for unit, k in zip(units, some, strict=True)]),
        np.vstack([level[k] for level, k in zip(logs, some, strict=True)]),
    )
    profiles = []
    for look, unit, level in zip(looks, units, logs, strict=True):
        with np.errstate(invalid="ignore"):
            away = np.abs(level - _terms(unit) @ trend).max(axis=1) > limit
        profiles.append(look.profile(away.reshape(look.covered.shape)))
    both = np.vstack(profiles)
    strongest = np.array(
        [both[:, c][np.argsort(np.abs(both[:, c]))[-max(1, len(both) // 200)]] for c in range(3)]
    )
    return Bed(low, high, pitch, pitch / per_cell, (profiles[0], profiles[1]), strongest, trend)


def pixel_mm(bench: Bench, place_px: tuple[float, float]) -> float:
    """Side of a pixel on the bench, mm, at a place of the photo."""
    x, y = place_px
    near = bench.to_plane(np.array([(x, y), (x + 1.0, y), (x, y + 1.0)]))
    return float(np.hypot(*(near[1:] - near[0]).T).mean())


def _pitch(nodes_mm: Points) -> float:
    """Distance between the lines that crossings, (N, 2) mm, lie on.

    Of many crossings a bench keeps some, so that few have a neighbour one pitch away; but hardly a
    line is left without any.
    """
    apart = np.concatenate([np.diff(np.sort(nodes_mm[:, axis])) for axis in (0, 1)])
    rough = float(np.median(apart[apart > FINEST_MM]))
    # Crossings lie at whole pitches from one another; the farthest tell best.
    away = nodes_mm - nodes_mm[0]
    count = np.round(away / rough)
    away, count = away - away.mean(axis=0), count - count.mean(axis=0)
    return float((away * count).sum() / (count * count).sum())


@dataclass(frozen=True, slots=True, eq=False)
class _Looks:
    """Light along an axis, look by look and cell by cell.

    ``ratio`` (looks, cells, n, 3) to each cell's ``level`` (looks, cells, 3); ``folded`` (n, 3)
    what most cells show; ``covered`` (looks, cells) where the line is missing; ``middle`` of
    cells, mm.
    """

    ratio: FloatArray
    level: FloatArray
    folded: FloatArray
    covered: NDArray[np.bool_]
    middle: Points

    def profile(self, shaded: NDArray[np.bool_]) -> FloatArray:
        """(cells · n, 3) factors less 1, of cells neither covered nor next to a shaded one."""
        near = shaded.copy()
        near[:, 1:] |= shaded[:, :-1]
        near[:, :-1] |= shaded[:, 1:]
        ratio = np.where((self.covered | near)[..., None, None], np.nan, self.ratio)
        cells = ratio.shape[1]
        profile = _nanmedian(ratio.reshape(len(ratio), -1, 3), axis=0)
        return np.where(np.isnan(profile), np.tile(self.folded, (cells, 1)), profile) - 1.0


def _look_along(
    pixels: NDArray[Any],
    bench: Bench,
    low: Points,
    high: Points,
    pitch: float,
    per_cell: int,
    axis: int,
) -> _Looks:
    """Look at the light along an axis, between the other family's lines."""
    cells = round((high[axis] - low[axis]) / pitch)
    along = low[axis] + (np.arange(cells * per_cell) + 0.5) * pitch / per_cell
    rows = round((high[1 - axis] - low[1 - axis]) / pitch)
    # Between the other family's lines, at places of no rhythm (golden ratio).
    phase = 0.15 + 0.7 * np.modf(np.arange(LOOKS) * 0.6180339887)[0]
    across = low[1 - axis] + (np.floor(np.linspace(0, rows - 1e-6, LOOKS)) + 0.5 + phase) * pitch
    across = across[across < high[1 - axis]]
    grid = np.empty((len(across), len(along), 2))
    grid[..., axis], grid[..., 1 - axis] = along[None, :], across[:, None]
    seen = bench.to_photo(grid.reshape(-1, 2))
    height, width = pixels.shape[:2]
    outside = ((seen < 0.0) | (seen > (width - 1, height - 1))).any(axis=1)
    light = light_at(pixels, seen).astype(np.float64) + 1e-5
    light[outside] = np.nan
    light = light.reshape(len(across), cells, per_cell, 3)
    with np.errstate(invalid="ignore"):
        # A cell's line lies in its middle, and a bold one reaches over half of it.
        quarter = per_cell // 4
        beside = np.concatenate((light[:, :, :quarter], light[:, :, -quarter:]), axis=2)
        level = _nanmedian(beside, axis=2)
        ratio = light / level[:, :, None]
        folded = _nanmedian(_nanmedian(ratio, axis=0), axis=0)
        covered = _covered(ratio, folded)
    middle = grid.reshape(len(across), cells, per_cell, 2)[:, :, per_cell // 2]
    return _Looks(ratio, level, folded, covered, middle)


def _covered(ratio: FloatArray, folded: FloatArray) -> NDArray[np.bool_]:
    """(looks, cells) where the line that (n, 3) ``folded`` shows in every cell is missing."""
    line = folded - 1.0
    strength = np.einsum("lcnk,nk->lc", ratio - 1.0, line) / max(float((line * line).sum()), 1e-12)
    return np.asarray(strength < 0.5)


def _nanmedian(values: FloatArray, axis: int) -> FloatArray:
    """Median over an axis; a lane with NaN in it leaves them out, one of NaN alone is NaN."""
    ordered = np.sort(values, axis=axis)
    count = np.isfinite(ordered).sum(axis=axis, keepdims=True)
    at = np.clip((count - 1) // 2, 0, None)
    return np.asarray(np.take_along_axis(ordered, at, axis=axis).squeeze(axis))


def _robust_trend(unit: Points, log_level: FloatArray) -> tuple[FloatArray, float]:
    """(T, 3) coefficients through the levels that most agree on, and how far off those are."""
    terms = _terms(unit)
    kept = np.ones(len(unit), dtype=bool)
    for count in (6, terms.shape[1]):
        for _ in range(6):
            trend = np.zeros((terms.shape[1], log_level.shape[1]))
            trend[:count] = np.linalg.lstsq(terms[kept, :count], log_level[kept], rcond=1e-4)[0]
            away = np.abs(log_level - terms @ trend).max(axis=1)
            limit = max(2.5 * float(np.median(away)), 0.01)
            kept = away <= limit
    return trend, limit


def _terms(unit: Points) -> FloatArray:
    """(N, 15) products of Legendre polynomials up to `DEGREE` in all, the lowest first."""
    x, y = (np.polynomial.legendre.legvander(unit[:, axis], DEGREE).T for axis in (0, 1))
    return np.column_stack(
        [x[total - k] * y[k] for total in range(DEGREE + 1) for k in range(total + 1)]
    )


def _rows(table: FloatArray, at: FloatArray) -> FloatArray:
    """(N, 3) rows of a table between whole places, its ends' beyond it."""
    at = np.clip(at, 0.0, len(table) - 1.001)
    low = at.astype(np.intp)
    share = (at - low)[:, None]
    return np.asarray(table.take(low, axis=0) * (1.0 - share) + table.take(low + 1, axis=0) * share)
