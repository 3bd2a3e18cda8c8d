"""How far the printed sheet itself strays from the even plane fitted to it, and so every length.

Many crossings make the camera sure, but not the sheet flat: where it bulges or was printed askew,
places lie aside by what neighbouring lines are seen aside alike. What each interval is seen aside
by itself is noise of the picture.
"""

from dataclasses import dataclass

import numpy as np

from ..arrays import FloatArray, Points
from .adjust import Adjusted
from .design_effect import SharedErrors
from .measure import Intervals, Strokes

__all__ = ["Unevenness", "light_spread", "unevenness"]

FEWEST_PAIRS = 40
"""So many pairs of neighbours leave a sixth of their spread uncertain; a grid of 5 × 5 has them."""
LEAST_PX = 0.002
"""No place is seen better: what compression and whole steps of brightness leave. Measured on
rendered photos."""
CLEARLY = 3.0
"""So many standard deviations are no chance."""
OF_SHEET = 0.5
"""Fraction of the variance of single lines that is taken to be the sheet's. Chosen: half of what a
line is aside may be."""


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
    fit: Adjusted, intervals: Intervals, strokes: Strokes, pitch_mm: float, shared: SharedErrors
) -> Unevenness:
    """What neighbouring lines, side by side, are seen aside alike, and a part of what one line is.

    Where neighbours are aside alike the sheet is; how much nearer than a pitch follows from one
    and two pitches on a straight line. A line aside by itself is printed askew, which moves nothing
    that lies there, or the sheet is uneven in places smaller than a square, which does.

    Parameters
    ----------
    fit
        Of the camera.
    intervals, strokes
        (S,) which were seen, and where.
    pitch_mm
        Between lines.
    shared
        What the residuals have in common.
    """
    little = 0.01 * pitch_mm
    level = intervals.start[:, 1] == intervals.end[:, 1]
    across = np.where(level[:, None], (0.0, 1.0), (1.0, 0.0))
    moved = fit.camera.project(strokes.places_mm + little * across)
    moved -= fit.camera.project(strokes.places_mm)
    mm_per_px = little / _along(moved, strokes.normals)
    low = intervals.start.min(axis=0)
    field = np.zeros((2, 2, *(intervals.start.max(axis=0) - low + 1)))
    place = intervals.start - low
    told = np.stack((fit.weights, fit.weights * fit.residuals_px * mm_per_px))
    field[:, level.astype(int), place[:, 0], place[:, 1]] = told
    # Level lines side by side lie one above the other, upright ones beside one another.
    sides = (np.swapaxes(field[:, 1], 1, 2), field[:, 0])
    (first, error), (second, _) = (_product(sides, apart) for apart in (1, 2))
    mm2 = float(np.median(mm_per_px**2))
    # Noise alone is no slope of what neighbours have in common; few neighbours leave it open.
    nearer = max(first - max(second, 0.0), error) if first > CLEARLY * error else error
    # Lines aside to one side and the other in turn are printed so.
    together = first + nearer if first > 0.0 else 2.0 * first
    alone = OF_SHEET * shared.lines_px2 * mm2
    least = max(shared.sheet_px2, LEAST_PX**2) * mm2
    return Unevenness(float(np.sqrt(max(together + alone, least))), pitch_mm)


def _product(sides: tuple[FloatArray, FloatArray], apart: int) -> tuple[float, float]:
    """Mean product of what lines so far apart are seen aside, and its standard deviation by chance.

    Zeros where too few are side by side.

    Parameters
    ----------
    sides
        Of both families (2, lines, places): weights, and weighted what is aside.
    apart
        In lines.
    """
    weight, product = (
        np.concatenate([(one[k, apart:] * one[k, :-apart]).ravel() for one in sides])
        for k in (0, 1)
    )
    if (weight > 0.0).sum() < FEWEST_PAIRS:
        return 0.0, 0.0
    total = float(weight.sum())
    return float(product.sum()) / total, float(np.sqrt((product**2).sum())) / total


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
