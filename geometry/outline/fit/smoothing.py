"""The noise of close points averaged out, far ones left as they are."""

import numpy as np

from ...arrays import Points

__all__ = ["smoothed"]

MOST_SMOOTHED = 64
"""Points to either side that are averaged at most."""


def smoothed(points: Points, reach_mm: float, *, closed: bool) -> Points:
    """Each of (N, 2) points averaged with those up to about ``reach_mm`` before and after it.

    Where points lie closer together than that, their noise would make a long and crooked way of a
    short and straight one. What is averaged doubles as long as it shows itself to be near.

    Parameters
    ----------
    points
        (N, 2) mm.
    reach_mm
        About so far before and after each.
    closed
        Whether the last is followed by the first.
    """
    size = len(points) - 1
    result = points.copy()
    near = np.ones(len(points), dtype=bool)
    before, half = points, 1
    most = min(MOST_SMOOTHED, size // 8)
    while half <= most and near.any():
        ahead = np.hypot(*(np.roll(before[:size], -half, axis=0) - before[:size]).T)
        apart = np.maximum(ahead, np.roll(ahead, half)) <= reach_mm
        near[:-1] &= apart
        near[-1] &= apart[0]
        wide = np.concatenate((points[-1 - half : -1], points, points[1 : 1 + half]))
        sums = np.cumsum(np.vstack((np.zeros((1, 2)), wide - points[0])), axis=0)
        before = (sums[2 * half + 1 :] - sums[: -2 * half - 1]) / (2 * half + 1) + points[0]
        if not closed:
            near[:half] = near[-half:] = False
        result[near] = before[near]
        half *= 2
    return result
