"""Corners shared by shapes that nearly touch, so that what nearly coincides does coincide."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from ...arrays import FloatArray, Indices, Points

__all__ = ["share_nodes"]


def share_nodes(shapes: Sequence[Polygon], within_mm: float) -> list[MultiPolygon]:
    """Return the shapes, valid, with every near corner and edge of two of them made one.

    A corner nearer to a corner of an earlier shape than ``within_mm`` moves there; an edge nearer
    to another shape's corner is led through it. No place moves farther, and shapes that are
    farther apart everywhere come back as they were. Without this, polygons that differ by less
    than the width of a number leave slivers and gaps when they are united or cut.
    """
    rings, owner = shapely.get_rings(np.array(shapes, dtype=object), return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    # The last point of a ring repeats its first.
    last = np.flatnonzero(np.append(ring[1:] != ring[:-1], True))
    keep = np.ones(len(points), dtype=bool)
    keep[last] = False
    points, ring = points[keep], ring[keep]
    if not len(points):
        return [_areas(shape) for shape in shapes]
    shape = owner[ring]
    moved = _moved(points, shape, within_mm)
    following = _following(ring)
    edge, place, corner = _led_through(moved, moved[following], shape, within_mm)
    if not len(edge) and np.array_equal(moved, points):
        return [_areas(polygon) for polygon in shapes]
    all_edges = np.concatenate((np.arange(len(points)), edge))
    order = np.lexsort((np.concatenate((np.zeros(len(points)), place)), all_edges))
    coordinates = np.concatenate((moved, moved[corner]))[order]
    of_ring = ring[all_edges[order]]
    return [
        _areas(_rebuilt([coordinates[of_ring == r] for r in np.flatnonzero(owner == number)]))
        for number in range(len(shapes))
    ]


def _following(ring: Indices) -> Indices:
    """Return for each corner the number of the next one of its ring."""
    following = np.arange(1, len(ring) + 1)
    first = np.flatnonzero(np.append(True, ring[1:] != ring[:-1]))
    following[np.append(first[1:], len(ring)) - 1] = first
    return following


def _moved(points: Points, shape: Indices, within_mm: float) -> Points:
    """Return the corners, each at the nearest unmoved corner of an earlier shape within reach."""
    dots = shapely.points(points)
    here, there = shapely.STRtree(dots).query(dots, predicate="dwithin", distance=within_mm)
    earlier = shape[there] < shape[here]
    here, there = here[earlier], there[earlier]
    away = np.hypot(*(points[here] - points[there]).T)
    moved = points.copy()
    stays = np.ones(len(points), dtype=bool)
    # By shape, so that a corner that others move to has already found its own place.
    for k in np.lexsort((away, here, shape[here])):
        if stays[here[k]] and stays[there[k]]:
            moved[here[k]] = points[there[k]]
            stays[here[k]] = away[k] == 0.0
    return moved


def _led_through(
    start: Points, end: Points, shape: Indices, within_mm: float
) -> tuple[Indices, FloatArray, Indices]:
    """Return (M,) edges, places 0..1 along them and the corners of others they are led through."""
    edges = shapely.linestrings(np.stack((start, end), axis=1))
    corner, edge = shapely.STRtree(edges).query(
        shapely.points(start), predicate="dwithin", distance=within_mm
    )
    other = shape[corner] != shape[edge]
    corner, edge = corner[other], edge[other]
    along = end[edge] - start[edge]
    away = start[corner] - start[edge]
    place = np.sum(along * away, axis=1) / np.maximum(np.sum(along * along, axis=1), 1e-300)
    inside = (
        (place > 0.0)
        & (place < 1.0)
        & np.any(away != 0.0, axis=1)
        & np.any(start[corner] != end[edge], axis=1)
    )
    return edge[inside], place[inside], corner[inside]


def _rebuilt(rings: list[Points]) -> Polygon:
    """Return the polygon of an outer ring and holes, without those that have fallen together."""
    kept = []
    for number, ring in enumerate(rings):
        ring = ring[np.any(ring != np.roll(ring, 1, axis=0), axis=1)]
        if len(ring) >= 3:
            kept.append(ring)
        elif number == 0:
            return Polygon()
    return Polygon(kept[0], kept[1:])


def _areas(shape: Polygon) -> MultiPolygon:
    """Return what of a shape has an area, made valid."""
    if shape.is_valid:
        return MultiPolygon([shape] if not shape.is_empty else [])
    # Where a ring touches itself, lines may be left over, which enclose nothing.
    parts = shapely.get_parts(shapely.get_parts(shapely.make_valid(shape)))
    return MultiPolygon([part for part in parts if part.geom_type == "Polygon"])
