"""A piece of a photo in one mixture of linear light, sampled between pixels."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from ..trace import LINEAR

__all__ = ["LightCrop"]


class LightCrop:
    """Linear light of a piece of the photo, its colours weighed, sampled between pixels."""

    def __init__(
        self,
        pixels: NDArray[Any],
        bounds_px: tuple[float, float, float, float],
        weights: FloatArray,
    ) -> None:
        height, width = pixels.shape[:2]
        self.left, self.top = max(int(bounds_px[0]), 0), max(int(bounds_px[1]), 0)
        right, bottom = min(int(bounds_px[2]) + 2, width), min(int(bounds_px[3]) + 2, height)
        crop = LINEAR[pixels[self.top : bottom, self.left : right, :3]]
        self._light = crop @ weights.astype(np.float32)

    def at(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Bilinear light at photo pixels of any shape; the border's beyond the piece."""
        x, y = x - self.left, y - self.top
        height, width = self._light.shape
        column, row = np.clip(np.floor(x), 0, width - 2), np.clip(np.floor(y), 0, height - 2)
        place = row.astype(np.int64) * width + column.astype(np.int64)
        right, down = np.clip(x - column, 0.0, 1.0), np.clip(y - row, 0.0, 1.0)
        flat = self._light.ravel()
        upper, lower = flat[place], flat[place + width]
        upper += (flat[place + 1] - upper) * right
        lower += (flat[place + width + 1] - lower) * right
        return np.asarray(upper + (lower - upper) * down)
