"""Regions of the plane from directed edges, by counting how often they wind round a place.

A triangle drawn counter-clockwise covers exactly the places its edges wind round once. Summed
over many triangles, edges shared by neighbours cancel and only contours remain, so the union of
200,000 triangles comes from a few hundred edges, without a single overlay of triangles.
"""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ...arrays import FloatArray, Points
from ...uniting import united
from .frames import IntArray

__all__ = ["GRID_MM", "cancel", "region", "snap", "winding"]

GRID_MM = 2.0**-24
"""Places are rounded to this, 6e-8 mm."""
CHUNK = 4_000_000
"""Pairs of an edge and a place that are looked at together."""


def snap(points_mm: Points) -> Points:
    """Round to the grid, so that nearly equal places become equal."""
    return np.round(points_mm / GRID_MM) * GRID_MM


def cancel(
    start: IntArray, end: IntArray, count: int, weight: IntArray | int = 1
) -> tuple[IntArray, ...]:
    """Sum directed edges between numbered places; opposite ones cancel.

    Returns (start, end, weight) of what is left, each weight a positive whole number.

    Parameters
    ----------
    start, end
        (N,) numbers of each edge's ends.
    count
        How many places there are.
    weight
        How often each edge counts.
    """
    forward = start < end
    low, high = np.where(forward, start, end), np.where(forward, end, start)
    key = low * np.int64(count) + high
    if isinstance(weight, int):
        # Numbers sort several times as fast as the order of numbers: the direction rides along.
        packed = np.sort(2 * key + forward)
        key, sign = packed >> 1, np.where(packed & 1, weight, -weight)
    else:
        order = np.argsort(key, kind="stable")
        key, sign = key[order], np.where(forward, weight, -weight)[order]
    first = np.flatnonzero(np.concatenate(([True], key[1:] != key[:-1]))) if len(key) else key
    total = np.add.reduceat(sign, first) if len(first) else sign
    keep = (total != 0) & (key[first] // count != key[first] % count)
    key, total = key[first][keep], total[keep]
    low, high = key // count, key % count
    return (
        np.where(total > 0, low, high),
        np.where(total > 0, high, low),
        np.abs(total),
    )


def winding(places: Points, start: Points, end: Points, weight: FloatArray) -> FloatArray:
    """(M,) how often the weighted edges (N, 2) → (N, 2) wind round each of (M, 2) places.

    Parameters
    ----------
    places
        (M, 2) mm, none of them on an edge.
    start, end
        (N, 2) mm: each edge's ends.
    weight
        (N,) how often each edge counts.
    """
    order = np.argsort(places[:, 1], kind="stable")
    x, y = places[order].T
    # An edge counts for places level with it only; with them sorted by height, those are a run.
    first = np.searchsorted(y, np.minimum(start[:, 1], end[:, 1]))
    count = np.searchsorted(y, np.maximum(start[:, 1], end[:, 1])) - first
    turns = np.zeros(len(places))
    blocks = np.cumsum(count) // CHUNK
    for block in np.unique(blocks):
        edges = np.flatnonzero((blocks == block) & (count > 0))
        runs = count[edges]
        edge = np.repeat(edges, runs)
        within = np.arange(len(edge)) - np.repeat(np.cumsum(runs) - runs, runs)
        place = first[edge] + within
        delta, origin = end[edge] - start[edge], start[edge]
        side = delta[:, 0] * (y[place] - origin[:, 1]) - (x[place] - origin[:, 0]) * delta[:, 1]
        rising = delta[:, 1] > 0.0
        sign = np.where(rising, side > 0.0, -1.0 * (side < 0.0))
        turns += np.bincount(place, sign * weight[edge], minlength=len(places))
    result = np.empty(len(places))
    result[order] = turns
    return result


def region(start: Points, end: Points, weight: FloatArray) -> BaseGeometry:
    """Region round which closed weighted edges wind otherwise than zero times.

    Parameters
    ----------
    start, end
        (N, 2) mm: each edge's ends.
    weight
        (N,) how often each edge counts.
    """
    if len(start) == 0:
        return shapely.Polygon()
    lines = shapely.linestrings(np.stack((start, end), axis=1))
    joined = united(lines)
    faces = shapely.get_parts(shapely.polygonize([joined]))
    inside = shapely.get_coordinates(shapely.point_on_surface(faces))
    covered = faces[np.round(winding(inside, start, end, weight)) != 0.0]
    # The faces share whole edges, so no overlay is needed to join them.
    return shapely.coverage_union_all(covered)
