"""The photo around a place, pixel by pixel, as large as it takes to set a mark."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["magnified"]

BESIDE = 24
"""Grey of what lies beside the photo."""


def magnified(
    pixels: NDArray[np.uint8],
    center_px: ArrayLike,
    size: int,
    times: float,
    turn: ArrayLike = ((1.0, 0.0), (0.0, 1.0)),
) -> NDArray[np.uint8]:
    """Return (size, size, 3) pixels, top row first, of the photo around a place.

    Parameters
    ----------
    pixels : (H, W, 3)
    center_px : (2,)
        The place of the photo in the middle of the inset.
    times
        Inset pixels a photo pixel takes; they are shown as squares, none made up between.
    turn : (2, 2)
        Steps (x, y) in the photo, of length about 1, for a step right and a step down the inset,
        as columns: how the photo lies in the view.
    """
    steps = (np.arange(size) - (size - 1) / 2.0) / times
    right, down = np.asarray(turn, dtype=np.float64).T
    places = (
        np.asarray(center_px, dtype=np.float64)
        + steps[None, :, None] * right
        + steps[:, None, None] * down
    )
    at = np.rint(places).astype(np.intp)
    height, width = pixels.shape[:2]
    x, y = at[..., 0], at[..., 1]
    inside = (x >= 0) & (x < width) & (y >= 0) & (y < height)
    shown = pixels[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)]
    return np.where(inside[..., None], shown, np.uint8(BESIDE)).astype(np.uint8)
