"""Regions of the plane from directed edges, by counting how often they wind round a place.

A triangle drawn counter-clockwise covers exactly the places its edges wind round once. Summed
over many triangles, edges shared by neighbours cancel and only contours remain, so the union of
200,000 triangles comes from a few hundred edges, without a single overlay of triangles.
"""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ..arrays import FloatArray, Points
from .frames import IntArray

__all__ = ["cancel", "region", "winding"]

GRID_MM = 2.0**-24
"""Places are rounded to this, 0.06 nanometres short of a ten-millionth of a millimetre."""
CHUNK = 4_000_000
"""Entries of the largest matrix made at a time."""


def snap(points_mm: Points) -> Points:
    """Round to the grid, so that nearly equal places become equal."""
    return np.round(points_mm / GRID_MM) * GRID_MM


def cancel(start: IntArray, end: IntArray, count: int) -> tuple[IntArray, ...]:
    """Sum directed edges between numbered places; opposite ones cancel.

    Returns (start, end, weight) of what is left, each weight a positive whole number.
    """
    forward = start < end
    low, high = np.where(forward, start, end), np.where(forward, end, start)
    key = low * np.int64(count) + high
    order = np.argsort(key, kind="stable")
    key, sign = key[order], np.where(forward, 1, -1)[order]
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
    """(M,) how often the weighted edges (N, 2) → (N, 2) wind round each of (M, 2) places."""
    turns = np.zeros(len(places))
    step = max(CHUNK // max(len(start), 1), 1)
    delta = end - start
    for at in range(0, len(places), step):
        x, y = places[at : at + step, 0, None], places[at : at + step, 1, None]
        up = (start[:, 1] <= y) & (y < end[:, 1])
        down = (end[:, 1] <= y) & (y < start[:, 1])
        side = delta[:, 0] * (y - start[:, 1]) - (x - start[:, 0]) * delta[:, 1]
        turns[at : at + step] = (up & (side > 0)) @ weight - (down & (side < 0)) @ weight
    return turns


def region(start: Points, end: Points, weight: FloatArray) -> BaseGeometry | None:
    """Where the closed weighted edges do not wind to zero, or None if that is too much work."""
    if len(start) == 0:
        return shapely.Polygon()
    lines = shapely.linestrings(np.stack((start, end), axis=1))
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(lines, grid_size=GRID_MM)]))
    if len(faces) == 0:
        return shapely.Polygon()
    if len(faces) * len(start) > 100 * CHUNK:
        return None
    inside = shapely.get_coordinates(shapely.point_on_surface(faces))
    chosen = faces[np.round(winding(inside, start, end, weight)) != 0.0]
    return shapely.union_all(chosen)
