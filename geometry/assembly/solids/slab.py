"""Convex polygons in space cut off at a height."""

import numpy as np

from ...arrays import FloatArray
from .frames import IntArray

__all__ = ["clip"]


def clip(
    polygons: FloatArray, counts: IntArray, sign: float, half: float
) -> tuple[FloatArray, IntArray]:
    """Keep what has sign × z ≤ half of convex polygons (M, K, 3) with ``counts`` corners each.

    Parameters
    ----------
    polygons
        (M, K, 3) corners; of each the first ``counts`` count.
    counts
        (M,) whole numbers.
    sign
        1 to keep what lies below ``half``, -1 what lies above ``-half``.
    half
        Height of the cutting plane, mm.
    """
    m, k = polygons.shape[:2]
    slot = np.arange(k)
    following = np.where(slot + 1 < counts[:, None], slot + 1, 0)
    after = np.take_along_axis(polygons, following[:, :, None], axis=1)
    here_z, after_z = sign * polygons[:, :, 2], sign * after[:, :, 2]
    real = slot < counts[:, None]
    inside, next_inside = here_z <= half, after_z <= half
    crosses = real & (inside != next_inside)
    # From the inner end to the outer: the neighbour across the edge computes the same place.
    inner = np.where(inside[:, :, None], polygons, after)
    outer = np.where(inside[:, :, None], after, polygons)
    depth = sign * inner[:, :, 2]
    rise = sign * outer[:, :, 2] - depth
    t = np.divide(half - depth, rise, out=np.zeros_like(rise), where=crosses)
    cut = inner + t[:, :, None] * (outer - inner)
    cut[:, :, 2] = sign * half
    emitted = np.stack((polygons, cut), axis=2).reshape(m, 2 * k, 3)
    kept = np.stack((real & inside, crosses), axis=2).reshape(m, 2 * k)
    order = np.argsort(~kept, axis=1, kind="stable")[:, : k + 1]
    return np.take_along_axis(emitted, order[:, :, None], axis=1), kept.sum(axis=1)
