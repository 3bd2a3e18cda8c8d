"""A photo in blocks: opponent colours averaged over squares of pixels."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["reduced"]

OPPONENT = np.array([(1 / 3, 1.0, 0.5), (1 / 3, -1.0, 0.5), (1 / 3, 0.0, -1.0)])
"""Red, green and blue (rows) in lightness, red less green, and yellow less blue (columns)."""
MOST_ROWS = 257
"""Rows of 8-bit levels that a 16-bit sum holds."""
BAND = 64
"""Rows of blocks worked on at a time, so that they stay near the processor."""


def reduced(pixels: NDArray[Any], step: int) -> NDArray[Any]:
    """(h, w, 3) float32: lightness, red-green and yellow-blue of a photo averaged over blocks.

    Parameters
    ----------
    pixels : (H, W, 3) uint8
        The photo or a part of it; rows and columns left over at the end are left out.
    step : int
        Side of a block, px.
    """
    high, wide = (n // step for n in pixels.shape[:2])
    kind = np.uint16 if step <= MOST_ROWS else np.uint32
    # One product sums a block's columns and turns its colours into opponent ones.
    mixed = np.tile(OPPONENT / (step * step), (step, 1)).astype(np.float32)
    small = np.empty((high, wide, 3), dtype=np.float32)
    for first in range(0, high, BAND):
        last = min(first + BAND, high)
        band = pixels[first * step : last * step, : wide * step, :3]
        rows = band[::step].astype(kind)
        for dy in range(1, step):
            np.add(rows, band[dy::step], out=rows)
        sums = rows.reshape(last - first, wide, 3 * step).astype(np.float32)
        small[first:last] = sums @ mixed
    return small
