"""Small numeric building blocks: robust spread, polygon area, nearest places, a minimax solver."""

import numpy as np
from numpy.typing import NDArray

from .arrays import FloatArray, Indices, Matrix, Points

__all__ = [
    "MAD_SIGMA",
    "biweight_fit",
    "biweights",
    "chebyshev_fit",
    "foot_fractions",
    "mad_sigma",
    "signed_area",
]

MAD_SIGMA = 1.4826
"""Sigma of normal noise over its median absolute deviation, 1 / Φ⁻¹(3/4) (Hampel, JASA 1974)."""

BIWEIGHT = 4.7
"""Standard deviations beyond which a residual counts nothing: 4.685 keep 95 % of the efficiency for
normal errors (Holland and Welsch 1977, from memory)."""
EXCHANGES = 15
"""Places exchanged at most, for every unknown and once more."""
TELLING = 1e-9
"""Fraction of the largest that a number has to have to be told from rounding."""


def mad_sigma(residuals: FloatArray) -> float:
    """Sigma of noise about zero from (N,) residuals, however large a minority of them is."""
    return MAD_SIGMA * float(np.median(np.abs(residuals)))


def biweights(residuals: FloatArray, sigma: float) -> FloatArray:
    """(N,) weights, 0 to 1, of (N,) residuals by Tukey's biweight."""
    ratio = np.abs(residuals) / (BIWEIGHT * sigma)
    weights: FloatArray = np.where(ratio < 1.0, (1.0 - ratio**2) ** 2, 0.0)
    return weights


def biweight_fit(
    rows: Matrix,
    offsets: FloatArray,
    sure: NDArray[np.bool_],
    *,
    least_sigma: float,
    rounds: int = 10,
    rcond: float | None = None,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Parameters (P,), residuals (N,) and weights (N,) of a linear fit by Tukey's biweight.

    Iteratively reweighted least squares, the spread from the median absolute deviation.

    Parameters
    ----------
    rows, offsets
        (N, P) and (N,): what the parameters are multiplied by, and what comes of it.
    sure
        (N,) which rows count at all.
    least_sigma
        The spread is taken to be at least this.
    rounds
        How often weights are made anew.
    rcond
        Singular values smaller than this, beside the largest, count as 0.
    """
    weights = sure.astype(np.float64)
    for _ in range(rounds):
        root = np.sqrt(weights)
        found = np.linalg.lstsq(rows * root[:, None], offsets * root, rcond=rcond)[0]
        residuals = offsets - rows @ found
        sigma = max(mad_sigma(residuals[sure]), least_sigma)
        weights = np.where(sure, biweights(residuals, sigma), 0.0)
    return found, residuals, weights


def signed_area(points: Points) -> float:
    """Area of a polygon with (N, 2) corners, positive counter-clockwise (shoelace formula)."""
    x, y = points.T
    return float(0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def foot_fractions(points: Points, start: Points, along: Points) -> FloatArray:
    """(N,) fractions 0..1 along edges at which these come nearest to points.

    Parameters
    ----------
    points
        (N, 2), or one for all edges.
    start, along
        (N, 2) or one: where the edges begin, and the vectors to their ends.
    """
    squared = np.maximum(np.einsum("...j,...j->...", along, along), 1e-300)
    return np.clip(np.einsum("...j,...j->...", points - start, along) / squared, 0.0, 1.0)


def chebyshev_fit(off: FloatArray, rows: FloatArray) -> FloatArray:
    """(K,) x for which the largest of (N,) ``|off + rows x|`` is all but least.

    As few places as just decide x are made to lie equally far; the one that then lies farthest
    takes the place of one of them. Rows that depend on each other leave x as short as can be.
    """
    base, size, turn = np.linalg.svd(rows, full_matrices=False)
    free = size > TELLING * max(float(size[0]), 1e-300)
    base, count = base[:, free], int(free.sum())
    best, least = np.zeros(count), float(np.abs(off).max())
    if not 0 < count < len(off):
        return np.zeros(rows.shape[1])
    few = _apart(off, base)
    # How their rows depend on each other tells the sides on which they can lie alike.
    weight = np.linalg.svd(base[few].T)[2][-1]
    side = np.where(weight * (weight @ off[few]) < 0.0, -1.0, 1.0)
    for _ in range(EXCHANGES * (count + 1)):
        # side (off + base x) is one and the same level, for x and that level unknown.
        system = np.column_stack((side[:, None] * base[few], np.full(count + 1, -1.0)))
        if not np.linalg.det(system):
            break
        inverse = np.linalg.inv(system)
        *x, level = -inverse @ (side * off[few])
        residual = off + base @ x
        worst = int(np.abs(residual).argmax())
        if abs(residual[worst]) < least:
            best, least = np.array(x), abs(float(residual[worst]))
        if abs(residual[worst]) <= (1.0 + 1e-6) * level or worst in few:
            break
        # The fraction of each in the balance may not fall below nothing: the first to do so goes.
        own = np.copysign(1.0, residual[worst])
        grows = np.append(own * base[worst], -1.0) @ inverse
        falls = grows > TELLING * np.abs(grows).max()
        fraction = np.maximum(-inverse[-1], 0.0)
        out = int(np.where(falls, fraction / np.where(falls, grows, 1.0), np.inf).argmin())
        few[out], side[out] = worst, own
    solved: FloatArray = (best / size[free]) @ turn[free]
    return solved


def _apart(off: FloatArray, base: FloatArray) -> Indices:
    """(K + 1,) places whose rows differ most, and the one that then lies farthest."""
    left, few = base.copy(), []
    for _ in range(base.shape[1]):
        few.append(int(np.einsum("ij,ij->i", left, left).argmax()))
        direction = left[few[-1]] / np.sqrt(left[few[-1]] @ left[few[-1]])
        left -= (left @ direction)[:, None] * direction
    residual = off - base @ np.linalg.solve(base[few], off[few])
    residual[few] = 0.0
    return np.array([*few, int(np.abs(residual).argmax())])
