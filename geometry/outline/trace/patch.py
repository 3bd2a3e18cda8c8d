"""A patch of one colour around a clicked place: what a further click adds or removes."""

from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import affinity

from ...errors import TraceError
from .blocks import reduced
from .colour import away_from
from .mask import component_at, outline_of, without_small_gaps
from .region import WORK_PX, Region

__all__ = ["find_patch"]

PATCH_LIMITS = (8.0, 11.0, 15.0, 20.0, 27.0, 36.0, 48.0, 64.0)
"""Colour distances to try."""


def find_patch(pixels: NDArray[Any], place_px: tuple[float, float]) -> Region:
    """Rough outline of an evenly coloured patch around a place, however small.

    Of several colour distances the one is taken at which the patch changes least
    (maximally stable: Matas, Chum, Urban, Pajdla 2002).

    Raises
    ------
    TraceError
        If the place is outside the photo or every patch there runs over the photo's edge.
    """
    height, width = pixels.shape[:2]
    x, y = place_px
    if not (-0.5 <= x <= width - 0.5 and -0.5 <= y <= height - 0.5):
        raise TraceError(
            f"The clicked place ({x:.0f}, {y:.0f}) px lies outside the photo of "
            f"{width} × {height} px. Click in it."
        )
    step = max(1, -(-max(width, height) // (2 * WORK_PX)))
    small = reduced(pixels, step)
    row = min(int((y + 0.5) / step), small.shape[0] - 1)
    column = min(int((x + 0.5) / step), small.shape[1] - 1)
    near = small[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2].reshape(-1, 3)
    away = away_from(small, np.median(near, axis=0))
    patches = []
    for limit in PATCH_LIMITS:
        patch = component_at(away < limit, row, column)
        rim = patch[0].any() or patch[-1].any() or patch[:, 0].any() or patch[:, -1].any()
        if rim:
            break
        patches.append(patch)
    sizes = np.array([float(patch.sum()) for patch in patches])
    if len(sizes) < 2 or sizes[-1] < 9.0:
        raise TraceError(
            f"At ({x:.0f}, {y:.0f}) px there is no patch with an edge of its own. Click on the "
            "middle of what is to be added or removed."
        )
    growth = sizes[1:] / np.maximum(sizes[:-1], 1.0)
    growth[sizes[:-1] < 9.0] = np.inf
    best = len(growth) - int(np.argmin(growth[::-1])) - 1
    mask = without_small_gaps(patches[best + 1], 30.0)
    polygon = outline_of(mask)
    half = (step - 1) / 2.0
    return Region(affinity.affine_transform(polygon, [step, 0.0, 0.0, step, half, half]), step)
