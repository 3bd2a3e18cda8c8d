"""Brightness between pixels, many places at once."""

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Points

__all__ = ["block_mean", "grey", "sample"]

Grey = NDArray[np.float32]


def grey(pixels: NDArray[np.uint8]) -> Grey:
    """(H, W) brightness 0..255 of (H, W, 3) pixels; weights of ITU-R BT.601 (from memory)."""
    weights = np.array([0.299, 0.587, 0.114], dtype=np.float32)
    return np.asarray(pixels, dtype=np.float32) @ weights


def block_mean(image: Grey, factor: int) -> Grey:
    """Shrink by a whole factor, each new pixel the mean of a block; edges that do not fill are cut.

    New pixel (u, v) has its centre at old (u + ½) factor - ½.
    """
    if factor == 1:
        return image
    h, w = (side // factor * factor for side in image.shape)
    blocks = image[:h, :w].reshape(h // factor, factor, w // factor, factor)
    return blocks.mean(axis=(1, 3), dtype=np.float32)


def sample(image: Grey, places_px: Points) -> FloatArray:
    """(…,) brightness at (…, 2) places (x, y), bilinear; NaN outside the picture."""
    places = np.asarray(places_px, dtype=np.float64)
    h, w = image.shape
    x, y = places[..., 0], places[..., 1]
    inside = (x >= 0.0) & (x <= w - 1.0) & (y >= 0.0) & (y <= h - 1.0)
    x0 = np.clip(np.floor(np.where(inside, x, 0.0)).astype(np.int64), 0, w - 2)
    y0 = np.clip(np.floor(np.where(inside, y, 0.0)).astype(np.int64), 0, h - 2)
    fx, fy = x - x0, y - y0
    flat = image.ravel()
    at = y0 * w + x0
    top = flat[at] * (1.0 - fx) + flat[at + 1] * fx
    low = flat[at + w] * (1.0 - fx) + flat[at + w + 1] * fx
    return np.where(inside, top * (1.0 - fy) + low * fy, np.nan)
