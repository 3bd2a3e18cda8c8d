"""How far the printed sheet itself strays from the even plane fitted to it, and so every length.

Many crossings make the camera sure, but not the sheet flat: where it bulges or was printed askew,
places lie aside by what neighbouring intervals are seen aside alike. What each is seen aside by
itself is noise of the picture.
"""

from dataclasses import dataclass

import numpy as np

from ..arrays import FloatArray, Points
from .adjust import Adjusted
from .measure import Intervals, Strokes

__all__ = ["Unevenness", "light_spread", "unevenness"]

FEWEST_PAIRS = 40
"""So many pairs of neighbours leave a sixth of their spread uncertain; a grid of 5 × 5 has them."""


@dataclass(frozen=True, slots=True)
class Unevenness:
    """Standard deviation, mm each way, by which places of the sheet lie aside.

    Places ``reach_mm`` apart and more have nothing to do with one another.
    """

    sigma_mm: float = 0.0
    reach_mm: float = 1.0

    def length_variance_mm2(self, length_mm: float) -> float:
        """What this adds to the variance of a length: two places, each off along the line."""
        apart = min(length_mm / self.reach_mm, 1.0)
        return 2.0 * self.sigma_mm**2 * apart


def unevenness(
    fit: Adjusted, intervals: Intervals, strokes: Strokes, pitch_mm: float
) -> Unevenness:
    """What neighbouring intervals, one pitch apart, are seen aside alike: their mean product.

    Parameters
    ----------
    fit
        Of the camera.
    intervals, strokes
        (S,) which were seen, and where.
    pitch_mm
        Between lines.
    """
    little = 0.01 * pitch_mm
    level = intervals.start[:, 1] == intervals.end[:, 1]
    across = np.where(level[:, None], (0.0, 1.0), (1.0, 0.0))
    moved = fit.camera.project(strokes.places_mm + little * across)
    moved -= fit.camera.project(strokes.places_mm)
    aside = fit.weights * fit.residuals_px * little / _along(moved, strokes.normals)
    low = intervals.start.min(axis=0)
    field = np.full((2, *(intervals.start.max(axis=0) - low + 1)), np.nan)
    place = intervals.start - low
    used = fit.weights > 0.0
    field[level[used].astype(int), place[used, 0], place[used, 1]] = aside[used]
    pairs = np.concatenate(
        [
            (field[:, 1:] * field[:, :-1]).ravel(),
            (field[:, :, 1:] * field[:, :, :-1]).ravel(),
        ]
    )
    pairs = pairs[np.isfinite(pairs)]
    if len(pairs) < FEWEST_PAIRS:
        return Unevenness(0.0, pitch_mm)
    return Unevenness(float(np.sqrt(max(pairs.mean(), 0.0))), pitch_mm)


def light_spread(intervals: Intervals, fit: Adjusted) -> FloatArray:
    """(S,) px by which a checkerboard's edges lie aside, light having spread into the dark squares.

    The same everywhere and towards the dark: to one side and the other in turn.

    Parameters
    ----------
    intervals
        Those that were seen.
    fit
        To them.
    """
    level = intervals.start[:, 1] == intervals.end[:, 1]
    side = np.where((intervals.start.sum(axis=1) + level) % 2 == 0, 1.0, -1.0)
    mean = float((fit.weights * side) @ fit.residuals_px) / float(fit.weights.sum())
    return np.asarray(side * mean)


def _along(moves: Points, normals: Points) -> FloatArray:
    """(S,) how far each move goes along its normal."""
    return np.asarray(np.einsum("ij,ij->i", moves, normals))
