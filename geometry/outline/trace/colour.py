"""The colour of a part's face as it changes slowly across it, and how far places are off it."""

import numpy as np

from ...arrays import FloatArray, subsample
from .mask import Mask

__all__ = ["away_from", "evened", "face_colour", "off_mixtures", "quadratic"]

OPPONENT_WEIGHTS = np.array([1.0, 2.0, 2.0])
MOST_PLACES = 4000
"""How many places the colour is fitted to."""


def face_colour(small: FloatArray, mask: Mask) -> FloatArray:
    """(h, w, 3) colour as a quadratic of the place, fitted to the masked blocks without odd ones.

    Off the mask it runs on no farther than the colours on it.
    """
    height, width = mask.shape
    rows, columns = np.divmod(subsample(np.flatnonzero(mask), MOST_PLACES), width)
    terms = quadratic(columns / width, rows / height)
    values = small[rows, columns]
    keep = np.ones(len(rows), dtype=bool)
    for _ in range(3):
        known = terms[keep]
        # Six unknowns for thousands of places: their normal equations are solved in no time.
        solution = np.linalg.lstsq(known.T @ known, known.T @ values[keep], rcond=1e-12)[0]
        off = np.abs(values - terms @ solution).max(axis=1)
        keep = off <= max(3.0 * float(np.median(off)), 1.0)
    one, x, y, xx, xy, yy = solution
    # Down a column only the part that depends on the row changes: one product does for all.
    powers = np.vander(np.arange(width) / width, 3, increasing=True)
    heights = np.vander(np.arange(height) / height, 3, increasing=True)
    mixed = np.array([(one, x, xx), (y, xy, 0.0 * xy), (yy, 0.0 * yy, 0.0 * yy)])
    columns_of = np.einsum("ijk,wj->iwk", mixed, powers).reshape(3, -1)
    model = heights.astype(small.dtype) @ columns_of.astype(small.dtype)
    low, high = np.percentile(values[keep], [1.0, 99.0], axis=0).astype(small.dtype)
    # Off the part the quadratic would run away; nothing on the face is beyond these.
    np.minimum(model, np.tile(high + 4, width), out=model)
    return np.maximum(model, np.tile(low - 4, width), out=model).reshape(small.shape)


def away_from(small: FloatArray, model: FloatArray) -> FloatArray:
    """(h, w) distance of opponent colours, colour counting for more than lightness."""
    off = small - model
    off *= off
    return np.sqrt(off @ OPPONENT_WEIGHTS.astype(off.dtype))


def off_mixtures(
    colour: FloatArray, face: FloatArray, others: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """(K,) share of each of (K, 3) others in a colour mixed with the face, and levels it is off.

    The share may be no mixture's, below 0 or above 1; the levels are off the nearest mixture.
    """
    way = others - face
    share = (way @ (colour - face)) / np.maximum(np.sum(way**2, axis=1), 1e-9)
    off = colour - face - np.clip(share, 0.0, 1.0)[:, None] * way
    return share, np.abs(off).max(axis=1)


def evened(small: FloatArray) -> FloatArray:
    """Mean of every block and its eight neighbours."""
    wide = np.pad(small, ((1, 1), (1, 1), (0, 0)), mode="edge")
    rows = wide[:-2] + wide[1:-1] + wide[2:]
    return np.asarray((rows[:, :-2] + rows[:, 1:-1] + rows[:, 2:]) / 9.0)


def quadratic(x: FloatArray, y: FloatArray) -> FloatArray:
    """(N, 6) terms of a quadratic at (N,) places."""
    return np.column_stack((np.ones_like(x), x, y, x * x, x * y, y * y))
