"""Narrow places: where two edges of a region face each other across less than a width.

Rays are sent from the edges into the region, square to them, and in a fan from every corner that
juts into it. One that meets an edge head on within the width has crossed a narrow place. Edges
that merely run together in the tip of a corner do not face each other and are no narrow place.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from ..arrays import Point, Points
from ..tolerance import CORNER_RAD

__all__ = ["NarrowPlace", "narrow_places"]

FACING = math.cos(math.radians(20.0))
"""Edges within 20° of parallel face each other; the tip of a blunter corner is no web."""
FAN = 9
"""Rays at an outward corner. Chosen: of a right angle one every eleven degrees."""
MOST_RAYS = 30_000
"""So many rays from edges at most: 90 m of rim in 3 mm; longer rims are seen less closely."""
START_MM = 1e-3
"""Rays begin this far off their edge, so that they do not meet it."""


@dataclass(frozen=True, slots=True)
class NarrowPlace:
    """The middle between two facing edges, and the distance between them."""

    place: Point
    width_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class _InwardEdges:
    """(N, 2) starts, ends and unit normals into the region, which lies to the left."""

    start: Points
    end: Points
    normal: Points


def narrow_places(rings: Sequence[Points], width_mm: float) -> list[NarrowPlace]:
    """Return where a region is narrower than ``width_mm``, each place once, narrowest first.

    Parameters
    ----------
    rings
        (N, 2) corners of each closed ring in mm, the region to the left of its travel.
    """
    edges = _edges(rings)
    from_edges = _from_edges(edges, width_mm)
    from_corners = _from_corners(rings)
    origins = np.vstack((from_edges[0], from_corners[0]))
    directions = np.vstack((from_edges[1], from_corners[1]))
    start, reach = _cross(origins, directions, edges, width_mm)
    pairs = _between_corners(from_corners[0], from_corners[1], width_mm)
    segments = np.concatenate((np.stack((start, reach), axis=1), pairs))
    return _places(segments, width_mm)


def _edges(rings: Sequence[Points]) -> _InwardEdges:
    start = np.vstack(rings)
    end = np.vstack([np.roll(ring, -1, axis=0) for ring in rings])
    along = end - start
    length = np.hypot(*along.T)
    keep = length > 1e-9
    start, end = start[keep], end[keep]
    along = along[keep] / length[keep, None]
    return _InwardEdges(start, end, np.column_stack((-along[:, 1], along[:, 0])))


def _from_edges(edges: _InwardEdges, width_mm: float) -> tuple[Points, Points]:
    """Rays square to the edges, closer together than the width unless edges are endless."""
    along = edges.end - edges.start
    length = np.hypot(*along.T)
    apart_mm = max(width_mm, float(length.sum()) / MOST_RAYS)
    counts = np.maximum(np.ceil(length / apart_mm).astype(np.int64), 3)
    owner = np.repeat(np.arange(len(counts)), counts)
    first = np.repeat(np.cumsum(counts) - counts, counts)
    fraction = (np.arange(len(owner)) - first + 0.5) / counts[owner]
    return edges.start[owner] + fraction[:, None] * along[owner], edges.normal[owner]


def _from_corners(rings: Sequence[Points]) -> tuple[Points, Points]:
    """Rays in a fan from every corner that juts into the region."""
    origins, directions = [np.zeros((0, 2))], [np.zeros((0, 2))]
    for ring in rings:
        here = ring - np.roll(ring, 1, axis=0)
        following = np.roll(ring, -1, axis=0) - ring
        turn = np.arctan2(
            here[:, 0] * following[:, 1] - here[:, 1] * following[:, 0], np.sum(here * following, 1)
        )
        juts = turn < -CORNER_RAD
        base = np.arctan2(here[juts, 1], here[juts, 0]) + math.pi / 2.0
        angles = base[:, None] + turn[juts, None] * np.linspace(0.0, 1.0, FAN)
        origins.append(np.repeat(ring[juts], FAN, axis=0))
        directions.append(np.column_stack((np.cos(angles).ravel(), np.sin(angles).ravel())))
    return np.vstack(origins), np.vstack(directions)


def _cross(
    origins: Points, directions: Points, edges: _InwardEdges, width_mm: float
) -> tuple[Points, Points]:
    """Where rays start and where they end, of those that first meet an edge head on."""
    rays = np.stack((origins + START_MM * directions, origins + width_mm * directions), axis=1)
    tree = shapely.STRtree(shapely.linestrings(np.stack((edges.start, edges.end), axis=1)))
    ray, edge = tree.query(shapely.linestrings(rays), predicate="intersects")
    slope = np.sum(directions[ray] * edges.normal[edge], axis=1)
    away = np.sum((edges.start[edge] - origins[ray]) * edges.normal[edge], axis=1)
    level = np.abs(slope) > 1e-9
    reach = np.where(level, away / np.where(level, slope, 1.0), START_MM)
    # A ray that has left the region sees nothing of what lies beyond: only its first edge counts.
    order = np.lexsort((reach, ray))
    first = order[np.unique(ray[order], return_index=True)[1]]
    hit = first[slope[first] < -FACING]
    start = origins[ray[hit]]
    return start, start + reach[hit, None] * directions[ray[hit]]


def _between_corners(corners: Points, directions: Points, width_mm: float) -> Points:
    """(N, 2, 2) segments from corner to corner that leave both within their fans."""
    places = corners[::FAN]
    one, two = np.triu_indices(len(places), 1)
    along = places[two] - places[one]
    distance = np.hypot(*along.T)
    near = (distance < width_mm) & (distance > START_MM)
    one, two, along = one[near], two[near], along[near] / distance[near, None]
    fans = directions.reshape(-1, FAN, 2)
    middle = fans[:, FAN // 2]
    half = np.sum(fans[:, 0] * middle, axis=1) - 1e-9
    inside = np.sum(along * middle[one], axis=1) > half[one]
    inside &= np.sum(-along * middle[two], axis=1) > half[two]
    return np.stack((places[one[inside]], places[two[inside]]), axis=1)


def _places(segments: Points, width_mm: float) -> list[NarrowPlace]:
    """Join crossings that lie side by side; each place is named by its narrowest."""
    if not len(segments):
        return []
    lengths = np.hypot(*(segments[:, 1] - segments[:, 0]).T)
    middles = segments.mean(axis=1)
    areas = shapely.linestrings(segments).tolist()
    joined = shapely.disjoint_subset_union_all(
        shapely.buffer(areas, width_mm / 2.0 + START_MM, quad_segs=2)
    )
    parts = shapely.get_parts(joined)
    point, part = shapely.STRtree(parts).query(shapely.points(middles), predicate="intersects")
    found = []
    for i in range(len(parts)):
        members = point[part == i]
        best = members[lengths[members].argmin()]
        x, y = middles[best]
        found.append(NarrowPlace((float(x), float(y)), float(lengths[best])))
    return sorted(found, key=lambda place: place.width_mm)
