"""A photo in the one mixture of its colours that shows a pen best."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from ..trace import light_at

__all__ = ["PenLight"]


@dataclass(frozen=True, slots=True, eq=False)
class PenLight:
    """(H, W, 3) uint8 pixels and the (3,) weights of their linear light."""

    pixels: NDArray[Any]
    weights: FloatArray

    def at(self, places_px: FloatArray) -> FloatArray:
        """Light at (…, 2) places, bilinear; the border's beyond the photo."""
        return np.asarray(light_at(self.pixels, places_px) @ self.weights)
