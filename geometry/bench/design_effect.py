"""How far errors beside one another go together: so many measurements tell no more than one.

A bent mat, a lens the model does not quite follow or a line printed askew move neighbours alike.
Fitted as if each interval erred by itself, the covariance would come out far too small. The cure is
the design effect of cluster sampling (Kish 1965, from memory): the variance of sums over groups of
neighbours, over what it would be if they erred apart.
"""

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Points
from .measure import Intervals

__all__ = ["errors_together"]

LEAST_SHARED_PX = 0.02
"""Every line is printed, lit and blurred so much to one side; common practice, no source."""
TILES = 4
"""Tiles along the longer side of what is seen: 32 sums of both families, of which a fit of 13 takes
a part. Chosen: bends as wide as a quarter of the sheet are not followed by the lens."""


def errors_together(
    intervals: Intervals,
    residuals_px: FloatArray,
    weights: FloatArray,
    fitted: int,
    sigma_px: float = np.inf,
) -> float:
    """Return how many intervals tell no more than one would; 1 where they err apart.

    Parameters
    ----------
    intervals, residuals_px, weights
        What the fit was made to, (S,) what it leaves and how much each counted.
    fitted
        How many parameters the fit had.
    sigma_px
        Standard deviation of one interval; no line is trusted beyond `LEAST_SHARED_PX`, however
        well its intervals agree.
    """
    used = weights > 0.0
    if int(used.sum()) < 2 * fitted:
        return 1.0
    chosen = intervals.chosen(used)
    lines, squares = _lines(chosen), _tiles(chosen)
    told = weights[used] * residuals_px[used]
    # Lines printed askew and bends of the sheet are two causes: what they add to one another.
    askew, bent = (_design_effect(groups, told, fitted) for groups in (lines, squares))
    per_line = float(used.sum()) / len(np.unique(lines))
    askew = max(askew, 1.0, 1.0 + per_line * (LEAST_SHARED_PX / sigma_px) ** 2)
    # Few lines leave the spread itself uncertain: variance of Student's t.
    free = max(len(np.unique(lines)) - fitted / 4.0, 4.0)
    return (askew + max(bent - 1.0, 0.0)) * free / (free - 2.0)


def _lines(intervals: Intervals) -> NDArray[np.int64]:
    """(S,) number of the printed line each interval is of."""
    level = intervals.start[:, 1] == intervals.end[:, 1]
    along = np.where(level, intervals.start[:, 1], intervals.start[:, 0])
    return np.asarray(2 * (along - along.min()) + level)


def _tiles(intervals: Intervals) -> NDArray[np.int64]:
    """(S,) number of the tile and family each interval is of."""
    level = intervals.start[:, 1] == intervals.end[:, 1]
    middle: Points = (intervals.start + intervals.end) / 2.0
    low = middle.min(axis=0)
    side = max(float((middle.max(axis=0) - low).max()), 1.0) / TILES * 1.0001
    tile = np.floor((middle - low) / side).astype(np.int64)
    return np.asarray(2 * (tile[:, 0] * (TILES + 1) + tile[:, 1]) + level)


def _design_effect(groups: NDArray[np.int64], told: FloatArray, fitted: int) -> float:
    """Variance of the sums over groups, over that of errors that have nothing to do with others."""
    _, index = np.unique(groups, return_inverse=True)
    sums = np.bincount(index.ravel(), weights=told)
    alone = float(told @ told)
    if not alone > 0.0:
        return 1.0
    # The fit takes away a part of what groups have in common.
    fraction = max(1.0 - fitted / len(sums), 0.25)
    return float(sums @ sums) / alone / fraction
