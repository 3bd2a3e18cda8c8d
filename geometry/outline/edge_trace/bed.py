"""The empty bench, predicted: what a pixel would show if no part lay there.

A printed line is a factor on the mat's light that depends only on where across the line one looks.
So one profile of factors along x and one along y tell every line, its width, its weight and its
true
place; each is the median over many looks along the line, which no part covers for long. Between the
lines the mat's light is a smooth field: log-quadratic, fitted robustly (Tukey 1977: by medians).
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

__all__ = ["Bed", "pixel_mm", "predict_bed"]

LOOKS = 81
"""Places along a line that are looked at: a median of so many is true to a tenth of the noise."""


@dataclass(frozen=True, slots=True, eq=False)
class Bed:
    """The printed grid as factors on the mat's light, and the mat's light between the lines.

    ``profiles`` are (n, 3) deviations of the factor from 1 along x and along y, every ``step_mm``
    from ``low_mm``; ``strongest`` (3,) that of a line in full; ``trend`` (6, 3) the log-quadratic.
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
        return np.asarray(((places_mm >= self.low_mm) & (places_mm <= self.high_mm)).all(axis=1))

    def factors(self, places_mm: Points, width_mm: float = 0.0) -> FloatArray:
        """(N, 3) factor of the lines on the light, mean over ``width_mm`` on either axis."""
        parts = []
        for axis in (0, 1):
            profile = self.profiles[axis]
            at = (places_mm[:, axis] - self.low_mm[axis]) / self.step_mm
            half = 0.5 * width_mm / self.step_mm
            if half > 1.0:
                total = np.vstack((np.zeros((1, 3)), np.cumsum(profile, axis=0)))
                knots = np.arange(len(total)) - 0.5
                ends = [_rows(total, at + side * half - knots[0]) for side in (-1.0, 1.0)]
                parts.append((ends[1] - ends[0]) / (2.0 * half))
            else:
                parts.append(_rows(profile, at))
        x, y = parts
        # What one line covers the other cannot cover again.
        full = np.where(np.abs(self.strongest) > 1e-6, self.strongest, 1.0)
        return np.asarray(1.0 + x + y - x * y / full)

    def light(self, places_mm: Points, width_mm: float = 0.0) -> FloatArray:
        """(N, 3) light of the lit, empty mat with its lines."""
        return self.trend_light(places_mm) * self.factors(places_mm, width_mm)

    def trend_light(self, places_mm: Points) -> FloatArray:
        """(N, 3) light of the lit mat between its lines."""
        return np.asarray(np.exp(_quadratic(self._unit(places_mm)) @ self.trend))

    def _unit(self, places_mm: Points) -> Points:
        return 2.0 * (places_mm - self.low_mm) / (self.high_mm - self.low_mm) - 1.0


def predict_bed(pixels: NDArray[Any], bench: Bench) -> Bed | None:
    """Return the empty bench where a grid was found on it, or None."""
    seen = bench.residuals.places_px
    if len(seen) < 9:
        return None
    nodes = bench.to_plane(seen)
    pitch = _pitch(nodes)
    low, high = nodes.min(axis=0) - 0.5 * pitch, nodes.max(axis=0) + 0.5 * pitch
    per_cell = int(np.clip(np.ceil(2.0 * pitch / pixel_mm(bench, bench.camera.center_px)), 16, 128))
    profiles, levels, places = [], [], []
    for axis in (0, 1):
        profile, level, place = _look_along(pixels, bench, low, high, pitch, per_cell, axis)
        profiles.append(profile)
        levels.append(level)
        places.append(place)
    bed = Bed(
        low,
        high,
        pitch,
        pitch / per_cell,
        (profiles[0], profiles[1]),
        np.zeros(3),
        np.zeros((6, 3)),
    )
    trend = _robust_trend(bed._unit(np.vstack(places)), np.log(np.vstack(levels)))
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
    """Distance between the lines that crossings, (N, 2) mm, lie on."""
    gaps = np.concatenate([np.diff(np.sort(nodes_mm[:, axis])) for axis in (0, 1)])
    gaps = gaps[gaps > 0.1]
    rough = float(np.median(gaps[gaps < 1.5 * gaps.min()]))
    # Crossings lie at whole pitches from one another; the farthest tell best.
    away = nodes_mm - nodes_mm[0]
    count = np.round(away / rough)
    away, count = away - away.mean(axis=0), count - count.mean(axis=0)
    return float((away * count).sum() / (count * count).sum())


def _look_along(
    pixels: NDArray[Any],
    bench: Bench,
    low: Points,
    high: Points,
    pitch: float,
    per_cell: int,
    axis: int,
) -> tuple[FloatArray, FloatArray, Points]:
    """(n, 3) factors less 1 along an axis, and levels (M, 3) between its lines at (M, 2) mm."""
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
        level = _nanmedian(light, axis=2)
        ratio = light / level[:, :, None]
        folded = _nanmedian(_nanmedian(ratio, axis=0), axis=0)
        ratio[_covered(ratio, folded)] = np.nan
        profile = _nanmedian(ratio.reshape(len(across), -1, 3), axis=0)
    profile = np.where(np.isnan(profile), np.tile(folded, (cells, 1)), profile) - 1.0
    middle = grid.reshape(len(across), cells, per_cell, 2)[:, :, per_cell // 2].reshape(-1, 2)
    level = level.reshape(-1, 3)
    known = np.isfinite(level).all(axis=1)
    return profile, level[known], middle[known]


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


def _robust_trend(unit: Points, log_level: FloatArray) -> FloatArray:
    """(6, 3) log-quadratic through the levels that most agree on."""
    terms = _quadratic(unit)
    kept = np.ones(len(unit), dtype=bool)
    trend = np.zeros((6, log_level.shape[1]))
    for _ in range(8):
        trend = np.linalg.lstsq(terms[kept], log_level[kept], rcond=None)[0]
        away = np.abs(log_level - terms @ trend).max(axis=1)
        kept = away <= max(2.5 * float(np.median(away)), 0.01)
    return trend


def _quadratic(unit: Points) -> FloatArray:
    x, y = unit.T
    return np.column_stack((np.ones(len(unit)), x, y, x * x, x * y, y * y))


def _rows(table: FloatArray, at: FloatArray) -> FloatArray:
    """(N, 3) rows of a table between whole places, its ends' beyond it."""
    at = np.clip(at, 0.0, len(table) - 1.001)
    low = at.astype(np.intp)
    share = (at - low)[:, None]
    return np.asarray(table[low] * (1.0 - share) + table[low + 1] * share)
