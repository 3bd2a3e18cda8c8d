"""Yes-or-no pictures: grow, shrink, split into connected regions, and outline them."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LinearRing, Polygon

__all__ = [
    "Mask",
    "closed",
    "component_at",
    "component_at_any",
    "grown",
    "nearest_set",
    "opened",
    "outline_of",
    "outlines_of",
    "painted",
    "polygons_of",
    "regions",
    "shrunk",
    "without_small_gaps",
]

Mask = NDArray[np.bool_]
FEW_RUNS = 4000
"""So many runs are painted one by one sooner than summed over the whole picture."""


def grown(mask: Mask, radius: int) -> Mask:
    """Every pixel within a near-round (octagonal) distance of a set one."""
    result = mask
    for step in range(radius):
        # Squares and diamonds in turn make an octagon.
        result = _grown_once(result, diagonal=step % 2 == 1)
    return result


def _grown_once(mask: Mask, *, diagonal: bool) -> Mask:
    out = mask.copy()
    out[1:] |= mask[:-1]
    out[:-1] |= mask[1:]
    base = out.copy() if diagonal else mask
    out[:, 1:] |= base[:, :-1]
    out[:, :-1] |= base[:, 1:]
    return out


def shrunk(mask: Mask, radius: int) -> Mask:
    """Every pixel farther than ``radius`` from an unset one; the frame counts as set."""
    return ~grown(~mask, radius)


def opened(mask: Mask, radius: int) -> Mask:
    """Without what is thinner than two radii."""
    return grown(shrunk(mask, radius), radius) & mask


def closed(mask: Mask, radius: int) -> Mask:
    """With gaps thinner than two radii filled."""
    return shrunk(grown(mask, radius), radius) | mask


def _runs(mask: Mask) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Flat starts and ends (exclusive) of the row runs, in a row one pixel wider."""
    height, width = mask.shape
    padded = np.zeros((height, width + 1), dtype=np.int8)
    padded[:, :width] = mask
    change = np.diff(padded.ravel(), prepend=0)
    return np.flatnonzero(change == 1), np.flatnonzero(change == -1)


def regions(mask: Mask) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Row runs (starts, ends in a row one wider) and the number of each run's region.

    Runs of neighbouring rows that overlap share a region (4-neighbours).
    """
    starts, ends = _runs(mask)
    pitch = mask.shape[1] + 1
    low = np.searchsorted(ends, starts + pitch, side="right")
    high = np.searchsorted(starts, ends + pitch, side="left")
    count = np.maximum(high - low, 0)
    one = np.repeat(np.arange(len(starts)), count)
    two = np.repeat(low - np.concatenate(([0], np.cumsum(count)[:-1])), count)
    two = two + np.arange(len(two))
    labels = np.arange(len(starts))
    while True:
        least = np.minimum(labels[one], labels[two])
        before = labels.copy()
        np.minimum.at(labels, labels[one], least)
        np.minimum.at(labels, labels[two], least)
        labels = labels[labels]
        if (labels == before).all() and (labels[one] == labels[two]).all():
            return starts, ends, labels


def painted(shape: tuple[int, ...], starts: NDArray[np.int64], ends: NDArray[np.int64]) -> Mask:
    """The picture whose set pixels are the given row runs (see `regions`)."""
    flat = np.zeros(shape[0] * (shape[1] + 1), dtype=bool)
    if len(starts) < FEW_RUNS:
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
            flat[start:end] = True
    else:
        edges = np.zeros(len(flat) + 1, dtype=np.int8)
        np.add.at(edges, starts, 1)
        np.add.at(edges, ends, -1)
        flat = np.cumsum(edges[:-1], dtype=np.int8) > 0
    return flat.reshape(shape[0], shape[1] + 1)[:, :-1]


def component_at(mask: Mask, row: int, column: int) -> Mask:
    """The connected region that holds a pixel; empty where the pixel is unset."""
    if not mask[row, column]:
        return np.zeros_like(mask)
    starts, ends, labels = regions(mask)
    place = row * (mask.shape[1] + 1) + column
    mine = labels[np.searchsorted(starts, place, side="right") - 1]
    chosen = labels == mine
    return painted(mask.shape, starts[chosen], ends[chosen])


def nearest_set(mask: Mask, row: int, column: int) -> tuple[int, int]:
    """The pixel itself, or the set one nearest to it within a mark's width."""
    if mask[row, column]:
        return row, column
    rows, columns = np.nonzero(mask[max(row - 6, 0) : row + 7, max(column - 6, 0) : column + 7])
    if len(rows) == 0:
        return row, column
    rows, columns = rows + max(row - 6, 0), columns + max(column - 6, 0)
    best = int(np.argmin((rows - row) ** 2 + (columns - column) ** 2))
    return int(rows[best]), int(columns[best])


def component_at_any(mask: Mask, core: Mask) -> Mask:
    """The region of ``mask`` that holds the first pixel of ``core``."""
    places = np.flatnonzero(core & mask)
    if len(places) == 0:
        return np.zeros_like(mask)
    row, column = divmod(int(places[len(places) // 2]), mask.shape[1])
    return component_at(mask, row, column)


def without_small_gaps(mask: Mask, least_pixels: float) -> Mask:
    """Fill every enclosed unset region smaller than a number of pixels."""
    starts, ends, labels = regions(~mask)
    if len(starts) == 0:
        return mask
    size = np.bincount(labels, weights=(ends - starts).astype(np.float64))
    rows, first = np.divmod(starts, mask.shape[1] + 1)
    last = ends - rows * (mask.shape[1] + 1)
    rim = (rows == 0) | (rows == mask.shape[0] - 1) | (first == 0) | (last == mask.shape[1])
    open_air = np.zeros(len(size), dtype=bool)
    open_air[labels[rim]] = True
    small = (size < least_pixels)[labels] & ~open_air[labels]
    return mask | painted(mask.shape, starts[small], ends[small])


def outline_of(mask: Mask) -> Polygon:
    """The largest region as a polygon of pixel edges; pixel centres are whole numbers."""
    return max(polygons_of(mask), key=lambda part: part.area)


def outlines_of(mask: Mask) -> list[LinearRing]:
    """Every rim of a mask, the set pixels on its left."""
    rings = []
    for polygon in map(shapely.orient_polygons, polygons_of(mask)):
        rings += [polygon.exterior, *polygon.interiors]
    return rings


def polygons_of(mask: Mask) -> list[Polygon]:
    """Every region as a polygon of pixel edges."""
    starts, ends = _runs(mask)
    rows, first = np.divmod(starts, mask.shape[1] + 1)
    last = ends - rows * (mask.shape[1] + 1)
    shape = shapely.union_all(shapely.box(first - 0.5, rows - 0.5, last - 0.5, rows + 0.5))
    return [part for part in shapely.get_parts(shape).tolist() if not part.is_empty]
