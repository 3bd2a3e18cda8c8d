"""Even out rings and lines, and readings along them: positions, directions, offsets."""

import math

import numpy as np

from ...arrays import FloatArray, Points

__all__ = ["calm_normals", "respaced", "smoothed", "without_strays"]


def respaced(ring: Points, spacing: float, *, closed: bool = True) -> Points:
    """Points at even steps along a ring, or from end to end of an open line.

    Parameters
    ----------
    ring : (N, 2) float
        The places.
    spacing : float
        Length of a step, about, in their unit.
    closed : bool
        Whether the last place leads to the first.
    """
    whole = np.vstack((ring, ring[:1])) if closed else ring
    travel = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(whole, axis=0).T))))
    count = max(12, round(travel[-1] / spacing))
    at = np.arange(count) * travel[-1] / (count if closed else count - 1)
    return np.column_stack([np.interp(at, travel, whole[:, k]) for k in (0, 1)])


def _evened(points: Points, width: float) -> Points:
    """Gaussian average along a ring, in points."""
    half = min(max(1, math.ceil(3.0 * width)), len(points) // 3)
    weights = np.exp(-0.5 * (np.arange(-half, half + 1) / max(width, 1e-6)) ** 2)
    weights /= weights.sum()
    return np.sum(
        [
            w * np.roll(points, -k, axis=0)
            for k, w in zip(range(-half, half + 1), weights, strict=True)
        ],
        axis=0,
    )


def calm_normals(at: Points, *, closed: bool, open_width: float = 4.0) -> Points:
    """(N, 2) unit directions to the right of a run's travel, over some pixels to either side.

    Parameters
    ----------
    at : (N, 2) float
        The places, px.
    closed : bool
        Whether the last leads to the first.
    open_width : float
        Standard deviation, in places, over which an open run is evened.
    """
    if len(at) < 3:
        along = np.broadcast_to(at[-1] - at[0], at.shape)
    elif closed:
        even = _evened(at, 6.0)
        along = np.roll(even, -4, axis=0) - np.roll(even, 4, axis=0)
    else:
        half = min(round(3.0 * open_width), len(at) - 1)
        # Run on straight past the ends, mirrored through the end points.
        before, after = 2.0 * at[0] - at[half:0:-1], 2.0 * at[-1] - at[-2 : -2 - half : -1]
        longer = np.vstack((before, at, after))
        even = _evened(longer, open_width)
        places = np.arange(half, half + len(at))
        reach = min(4, half)
        along = even[places + reach] - even[places - reach]
    along = along / np.maximum(np.hypot(*along.T), 1e-12)[:, None]
    return np.column_stack((along[:, 1], -along[:, 0]))


def without_strays(
    offsets: FloatArray, clear: FloatArray, half: int, limit_px: float, *, closed: bool
) -> FloatArray:
    """Offsets with those far from their neighbours' middle, or unclear ones, bridged.

    Parameters
    ----------
    offsets, clear : (N,) float
        Offsets, and over 0.5 where they were read.
    half : int
        So many neighbours on either side make the middle.
    limit_px : float
        Farther from it is far.
    closed : bool
        Whether the last is the first one's neighbour.
    """
    count = len(offsets)
    if count < 4:
        return offsets
    order = np.arange(-half, half + 1)
    places = np.arange(count)[:, None] + order
    places = places % count if closed else np.clip(places, 0, count - 1)
    middle = np.median(offsets[places], axis=1)
    good = (np.abs(offsets - middle) <= limit_px) & (clear > 0.5)
    if good.sum() < 3:
        return middle
    kept = np.flatnonzero(good)
    return np.interp(np.arange(count), kept, offsets[kept], period=float(count) if closed else None)


def smoothed(offsets: FloatArray, half: int, *, closed: bool) -> FloatArray:
    """Sliding least-squares parabola (Savitzky and Golay 1964); shorter towards open ends.

    Parameters
    ----------
    offsets : (N,) float
        What is smoothed.
    half : int
        So many neighbours on either side.
    closed : bool
        Whether the last is the first one's neighbour.
    """
    count = len(offsets)
    half = min(half, (count - 1) // 2)
    if half < 2:
        return np.full(count, float(np.median(offsets))) if count < 3 else offsets
    order = np.arange(-half, half + 1)
    terms = np.column_stack((np.ones(2 * half + 1), order, order**2))
    solve = np.linalg.pinv(terms)
    centers = np.arange(count)
    if not closed:
        centers = np.clip(centers, half, count - 1 - half)
    windows = offsets[(centers[:, None] + order) % count]
    fitted = windows @ solve.T
    shift = (np.arange(count) - centers).astype(np.float64)
    return fitted[:, 0] + fitted[:, 1] * shift + fitted[:, 2] * shift**2
