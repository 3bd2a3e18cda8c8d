"""Loose judgements of screen pictures: is there anything to see, and where do two differ."""

from pathlib import Path

import numpy as np
from PIL import Image

__all__ = ["Box", "changed", "is_blank", "read", "spread"]

Box = tuple[int, int, int, int]
"""Left, bottom, right, top in window pixels from the lower left corner, as Blender counts."""

BLANK_SPREAD = 4.0
"""Grey levels; a plain background with its dithering spreads less, any text or picture more."""

SAME_LEVELS = 12
"""Software drawing may differ by some grey levels without anybody seeing it."""


def read(path: Path) -> np.ndarray:
    """(H, W, 3) uint8 pixels, top row first."""
    with Image.open(path) as picture:
        return np.asarray(picture.convert("RGB"))


def cut(pixels: np.ndarray, box: Box | None) -> np.ndarray:
    """The pixels within a box."""
    if box is None:
        return pixels
    left, bottom, right, top = box
    height = pixels.shape[0]
    return pixels[max(height - top, 0) : height - bottom, left:right]


def spread(pixels: np.ndarray, box: Box | None = None) -> float:
    """Standard deviation of the grey levels."""
    return float(cut(pixels, box).mean(axis=2).std())


def is_blank(pixels: np.ndarray, box: Box | None = None) -> bool:
    """Whether there is nothing to see: one colour, or none."""
    inside = cut(pixels, box)
    return inside.size == 0 or spread(inside) < BLANK_SPREAD


def changed(before: np.ndarray, after: np.ndarray, box: Box | None = None) -> float:
    """Share of the pixels, 0 to 1, that people would see change."""
    a, b = (cut(pixels, box).astype(np.int16) for pixels in (before, after))
    return float((np.abs(a - b).max(axis=2) > SAME_LEVELS).mean())
