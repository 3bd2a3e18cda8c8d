"""Brightness between pixels, many places at once."""

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Points

__all__ = ["block_mean", "grey", "sample"]

Grey = NDArray[np.float32]
BAND = 32
"""Rows worked on at once: a few hundred kB of a large photo, which stay in the processor's
cache."""


def grey(pixels: NDArray[np.uint8]) -> Grey:
    """(H, W) brightness 0..255 of (H, W, 3) pixels; weights of ITU-R BT.601 (from memory)."""
    weights = np.array([0.299, 0.587, 0.114], dtype=np.float32)
    image = np.empty(pixels.shape[:2], dtype=np.float32)
    # A band of rows at a time stays in the processor's cache and takes little memory.
    for top in range(0, len(image), BAND):
        band = slice(top, top + BAND)
        np.multiply(pixels[band, :, 0], weights[0], out=image[band])
        image[band] += pixels[band, :, 1] * weights[1]
        image[band] += pixels[band, :, 2] * weights[2]
    return image


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
    whole = bool(inside.all())
    if not whole:
        x, y = np.where(inside, x, 0.0), np.where(inside, y, 0.0)
    # Places are inside now, so cutting off is rounding down.
    x0 = np.minimum(x.astype(np.int32), w - 2)
    y0 = np.minimum(y.astype(np.int32), h - 2)
    fx, fy = (x - x0).astype(np.float32), (y - y0).astype(np.float32)
    flat = image.ravel()
    at = y0 * np.intp(w) + x0
    top, low = flat.take(at), flat.take(at + w)
    top += (flat.take(at + 1) - top) * fx
    low += (flat.take(at + (w + 1)) - low) * fx
    top += (low - top) * fy
    return np.asarray(top if whole else np.where(inside, top, np.nan), dtype=np.float64)
