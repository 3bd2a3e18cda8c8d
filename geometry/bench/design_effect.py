"""How far errors beside one another go together: so many measurements tell no more than one.

A bent mat, a lens the model does not quite follow or a line printed askew move neighbours alike.
Fitted as if each interval erred by itself, the covariance would come out far too small. The cure is
the design effect of cluster sampling (Kish 1965, from memory): the variance of sums over groups of
neighbours, over what it would be if they erred apart.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Matrix, Points
from .adjust import COUNT, Adjusted, Beliefs, slopes
from .measure import Intervals, Strokes
from .priors import Priors

__all__ = ["SharedErrors", "errors_together", "shared_errors"]

LEAST_SHARED_PX = 0.02
"""Every line is printed, lit and blurred so much to one side; common practice, no source."""
TILES = 4
"""Tiles along the longer side of what is seen: 32 sums of both families, of which a fit of 13 takes
a part. Chosen: bends as wide as a quarter of the sheet are not followed by the lens."""
PIECE = 5
"""Intervals of a piece of a line. Measured: on rendered and real sheets what neighbours on a line
have in common has fallen to a half after so many."""
FEWEST_FREE = 4.0
"""Student's t with fewer degrees of freedom has hardly a variance."""


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


@dataclass(frozen=True, slots=True, eq=False)
class SharedErrors:
    """Covariance of a fitted camera, as its residuals tell it, and what they have in common.

    ``lines_px2`` is the variance of whole lines and pieces of lines, ``sheet_px2`` that of tiles.
    """

    covariance: Matrix
    lines_px2: float
    sheet_px2: float


def shared_errors(
    fit: Adjusted, intervals: Intervals, strokes: Strokes, priors: Priors, together: float
) -> SharedErrors:
    """Part the residuals into noise and what lines, pieces and tiles share; carry each through.

    Variances are such that sums over groups come out as seen, what the fit took away counted
    (variance components by moments: Henderson 1953, method 3, from memory). Each is then carried
    through the fit by the law of propagation, and so is what is believed beforehand.

    Parameters
    ----------
    fit
        With beliefs weighed as if ``together`` intervals told no more than one.
    intervals, strokes
        Which were seen, and where.
    priors
        What is believed of focal length and lens.
    together
        As the fit was made with.
    """
    used = fit.weights > 0.0
    weights, residuals = fit.weights[used], fit.residuals_px[used]
    slope = slopes(fit.camera, strokes.places_mm[used], strokes.normals[used])
    noise = fit.sigma_px * float(np.sqrt(together))
    middle = priors.center_px or fit.camera.center_px
    _, rows = Beliefs(priors, middle, COUNT).rows(fit.camera, noise)
    beliefs = rows.T @ rows
    normal = slope.T @ (slope * weights[:, None]) + beliefs
    scale = np.sqrt(np.diag(normal))
    inverse = np.linalg.pinv(normal / np.outer(scale, scale), hermitian=True)
    inverse = inverse / np.outer(scale, scale)
    chosen = intervals.chosen(used)
    parts = _Parts(slope, weights, inverse, (_lines(chosen), _pieces(chosen), _tiles(chosen)))
    variances = parts.variances(residuals)
    # A spread that is itself told by few lines: variance of Student's t.
    free = max(len(np.unique(_lines(chosen))) - COUNT, FEWEST_FREE)
    variances *= free / (free - 2.0)
    spread = parts.carried(variances)
    covariance = inverse @ (spread + noise**2 * beliefs) @ inverse
    return SharedErrors(covariance, float(variances[1] + variances[2]), float(variances[3]))


class _Parts:
    """Groups of neighbours (each (S,) numbers), and what the fit leaves of errors they share.

    The unit of each sum is a weighted residual; `_Parts` never holds more than groups × groups.
    """

    def __init__(
        self,
        slope: Matrix,
        weights: FloatArray,
        inverse: Matrix,
        groups: tuple[NDArray[np.int64], ...],
    ) -> None:
        self.weights, self.inverse = weights, inverse
        self.groups = [np.unique(one, return_inverse=True)[1].ravel() for one in groups]
        self.told = slope * weights[:, None]
        self.sums = [_sums(one, self.told) for one in self.groups]
        self.alone = self.told.T @ self.told

    def variances(self, residuals_px: FloatArray) -> FloatArray:
        """(1 + groups,) px² of each interval by itself, then of each kind of group; none below 0.

        Where a kind's sums tell hardly anything it is not taken to be nothing, but as large as it
        is on average, given what they tell and that no variance is negative.
        """
        told = self.weights * residuals_px
        seen = [float(told @ told)]
        seen += [float((_sums(one, told) ** 2).sum()) for one in self.groups]
        expected, found = self._expected(), np.zeros(len(seen))
        kept = list(range(len(seen)))
        while True:
            found[:] = 0.0
            found[kept] = np.linalg.solve(expected[np.ix_(kept, kept)], np.array(seen)[kept])
            below = [k for k in kept[1:] if found[k] < 0.0]
            if not below:
                break
            kept.remove(min(below, key=lambda k: found[k] * expected[k, k]))
        sums = expected @ found
        for k, one in enumerate(self.groups, start=1):
            free = max(float(one.max() + 1 - COUNT), FEWEST_FREE)
            error = float(np.sqrt(2.0 / free) * sums[k] / expected[k, k])
            found[k] = _mean_above_zero(float(found[k]), error)
        return found

    def carried(self, variances: FloatArray) -> Matrix:
        """(13, 13) what errors of these variances come to in the fit's equations."""
        carried = variances[0] * self.alone
        for variance, sums in zip(variances[1:], self.sums, strict=True):
            carried = carried + variance * (sums.T @ sums)
        return np.asarray(carried)

    def _expected(self) -> Matrix:
        """What each kind of sums comes to for each variance of 1, after the fit."""
        size, told = len(self.groups) + 1, self.told
        twice = told * self.weights[:, None]
        total = float(self.weights @ self.weights)
        expected = np.empty((size, size))
        taken = self.inverse @ self.alone
        expected[0, 0] = (
            total - 2.0 * np.trace(self.inverse @ (told.T @ twice)) + np.trace(taken @ taken)
        )
        for k, (one, sums) in enumerate(zip(self.groups, self.sums, strict=True), start=1):
            cross = np.trace(self.inverse @ (sums.T @ _sums(one, twice)))
            left = np.trace(self.inverse @ self.alone @ self.inverse @ (sums.T @ sums))
            expected[0, k] = expected[k, 0] = total - 2.0 * cross + left
            for j, (other, others) in enumerate(zip(self.groups, self.sums, strict=True), start=1):
                both = -sums @ self.inverse @ others.T
                np.add.at(both, (one, other), self.weights)
                expected[k, j] = float((both**2).sum())
        return expected


def _sums(group: NDArray[np.int64], values: FloatArray) -> FloatArray:
    """(G,) or (G, 13) sums of values over groups."""
    if values.ndim == 1:
        return np.asarray(np.bincount(group, weights=values), dtype=np.float64)
    return np.column_stack([np.bincount(group, weights=column) for column in values.T])


def _mean_above_zero(value: float, error: float) -> float:
    """Mean of what cannot be negative, estimated with a normal error: a truncated normal's."""
    at = value / max(error, 1e-300)
    density = math.exp(-0.5 * at * at) / math.sqrt(2.0 * math.pi)
    return value + error * density / (0.5 * (1.0 + math.erf(at / math.sqrt(2.0))))


def _pieces(intervals: Intervals) -> NDArray[np.int64]:
    """(S,) number of the piece, a few intervals long, of the printed line each interval is of."""
    level = intervals.start[:, 1] == intervals.end[:, 1]
    along = np.where(level, intervals.start[:, 0], intervals.start[:, 1])
    along = (along - along.min()) // PIECE
    return np.asarray(_lines(intervals) * (int(along.max()) + 1) + along)
