"""What light steps of one blur draw across an edge, and how much of cuts through a photo it is."""

import numpy as np

from ..arrays import FloatArray, Points
from .trace_light import Blurs, LightCrop

__all__ = ["cuts_across", "drawn", "power_drawn", "power_of", "step_bases"]


def cuts_across(light: LightCrop, places: Points, outward: Points, t: FloatArray) -> FloatArray:
    """(K, N, T) light of each channel along each direction, its mean taken off."""
    x, y = places[:, :1] + t * outward[:, :1], places[:, 1:] + t * outward[:, 1:]
    cuts = np.array(light.each_at(x, y), dtype=np.float64)
    return np.asarray(cuts - cuts.mean(axis=-1, keepdims=True))


def power_of(seen: FloatArray, weight: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(N,) power of weighted cuts, and what an even light draws of it."""
    even = ((seen @ weight) ** 2).sum(axis=0) / (weight @ weight)
    return np.einsum("kij,kij->i", seen, seen), even


def drawn(
    seen: FloatArray,
    t: FloatArray,
    places: FloatArray,
    widths: FloatArray,
    blurs: Blurs,
    weight: FloatArray,
) -> FloatArray:
    """(N, C) power of (K, N, T) weighted cuts that steps at (C,) places draw."""
    weights = np.broadcast_to(weight, (len(places), len(t)))
    return np.sum(
        [
            power_drawn(channel, step_bases(t, places, widths, blur, weights))
            for channel, blur in zip(seen, blurs, strict=True)
        ],
        axis=0,
    )


def power_drawn(cuts: FloatArray, bases: FloatArray) -> FloatArray:
    """(N, C) power of (N, T) cuts that each of (C, T, levels) bases draws."""
    count, size, levels = bases.shape
    shares = cuts @ bases.transpose(1, 0, 2).reshape(size, count * levels)
    return np.asarray((shares**2).reshape(len(cuts), count, levels).sum(axis=2))


def step_bases(
    t: FloatArray, places: FloatArray, widths: FloatArray, blur: float, weight: FloatArray
) -> FloatArray:
    """Orthonormal (C, T, levels) bases of what levels and steps at (C,) places can draw.

    ``weight`` (C, T) is how much each sample counts for each of them.
    """
    first = _risen((t - places[:, None]) / blur)
    columns = [1.0 - first, first]
    if widths[0] > 0.0:
        second = _risen((t - (places + widths)[:, None]) / blur)
        columns = [1.0 - first, first - second, second]
    return np.linalg.qr(np.stack(columns, axis=-1) * weight[..., None])[0]


def _risen(x: FloatArray) -> FloatArray:
    """Normal distribution function to 1e-4, enough for a blurred step (logistic with a cubic)."""
    return 1.0 / (1.0 + np.exp(-np.clip(1.5976 * x + 0.07056 * x**3, -60.0, 60.0)))
