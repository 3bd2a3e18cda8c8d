"""Average rings that are nearly one another: corner with corner, in step between them."""

import math

import numpy as np

from ...arrays import FloatArray, Indices, Points
from ..curves import Loop, turn_at
from ..fit import places_on

__all__ = ["SampledRing", "average_rings", "sample_loop"]

CORNER_RAD = 0.3
"""A sharper turn between two segments is a corner to be met by a corner."""


class SampledRing:
    """A loop as points in travel order, and which of them are corners."""

    def __init__(self, points: Points, corners: Indices) -> None:
        self.points = points
        self.corners = corners
        steps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
        self.travel = np.concatenate(([0.0], np.cumsum(steps)))

    @property
    def length(self) -> float:
        """Way once round."""
        return float(self.travel[-1])

    def at(self, travel: FloatArray) -> Points:
        """(N, 2) places at ways along the ring, taken round and round."""
        way = np.mod(travel, self.length)
        closed = np.vstack((self.points, self.points[:1]))
        return np.column_stack([np.interp(way, self.travel, closed[:, k]) for k in (0, 1)])

    def mapped(self, points: Points, *, turned_over: bool) -> "SampledRing":
        """Return the ring with its points moved; a mirrored one is travelled the other way."""
        if not turned_over:
            return SampledRing(points, self.corners)
        return SampledRing(points[::-1].copy(), np.sort(len(points) - 1 - self.corners))

    def nearest_travel(self, place: FloatArray) -> float:
        """Way along the ring to its place nearest to a point."""
        following = np.roll(self.points, -1, axis=0)
        along = following - self.points
        squared = np.maximum(np.einsum("ij,ij->i", along, along), 1e-300)
        share = np.clip(np.einsum("ij,ij->i", place - self.points, along) / squared, 0.0, 1.0)
        rest = self.points + share[:, None] * along - place
        k = int(np.argmin(np.einsum("ij,ij->i", rest, rest)))
        return float(self.travel[k] + share[k] * math.sqrt(squared[k]))


def sample_loop(loop: Loop, spacing_mm: float) -> SampledRing:
    """Points of a loop no farther apart than ``spacing_mm``; every node is one of them."""
    points: list[Points] = []
    size = 0
    corners = []
    count = len(loop.segments)
    for k, segment in enumerate(loop.segments):
        if abs(turn_at(loop.segments[k - 1], segment)) > CORNER_RAD and (count > 1):
            corners.append(size)
        steps = max(1, math.ceil(segment.length_mm / spacing_mm))
        points.append(places_on(segment, np.arange(steps) / steps))
        size += steps
    return SampledRing(np.concatenate(points), np.array(corners, dtype=np.int64))


def average_rings(rings: list[SampledRing], weights: FloatArray) -> tuple[SampledRing, float]:
    """Weighted average of rings that lie nearly on each other and run the same way.

    Corners that all rings share (mutually nearest) are averaged with each other; between them
    rings are matched in step with their own length. Without corners they are matched from the
    places nearest to eight points of the first ring. The second value is the rms distance of the
    rings from their plain average, mm.
    """
    first = rings[0]
    reach = 0.06 * first.length
    anchors = [float(first.travel[c]) for c in first.corners]
    matches = [
        np.array([_corner_near(r, first.at(np.array([a]))[0], reach) for a in anchors])
        for r in rings[1:]
    ]
    shared = np.ones(len(anchors), dtype=bool)
    for match in matches:
        shared &= np.isfinite(match)
    kept = np.array(anchors)[shared]
    columns = [kept, *(match[shared] for match in matches)]
    if len(kept) == 0:
        kept = np.arange(8) / 8.0 * first.length
        places = first.at(kept)
        columns = [kept, *(np.array([r.nearest_travel(p) for p in places]) for r in rings[1:])]
    columns = [_rising(c, r.length) for c, r in zip(columns, rings, strict=True)]
    ways, corner_places = _steps(columns, rings)
    stack = np.array([ring.at(way) for ring, way in zip(rings, ways, strict=True)])
    total = np.einsum("i,ijk->jk", weights, stack)
    spread = float(np.sqrt(np.mean(np.sum((stack - stack.mean(axis=0)) ** 2, axis=2))))
    corners = corner_places if shared.any() else np.zeros(0, dtype=np.int64)
    return SampledRing(total, corners), spread


def _corner_near(ring: SampledRing, place: FloatArray, reach: float) -> float:
    """Way to the ring's corner nearest to a place, or NaN without one in reach."""
    if len(ring.corners) == 0:
        return math.nan
    gaps = np.hypot(*(ring.points[ring.corners] - place).T)
    k = int(np.argmin(gaps))
    return float(ring.travel[ring.corners[k]]) if gaps[k] <= reach else math.nan


def _rising(ways: FloatArray, length: float) -> FloatArray:
    """Ways made to rise by whole rounds from the first."""
    return ways[0] + np.mod(ways - ways[0], length)


def _steps(columns: list[FloatArray], rings: list[SampledRing]) -> tuple[list[FloatArray], Indices]:
    """Ways along every ring that belong together, and which of them are anchors.

    An anchor out of order in any ring is passed over.
    """
    order = np.ones(len(columns[0]), dtype=bool)
    for column in columns:
        order[1:] &= np.diff(column) > 1e-9
    columns = [c[order] for c in columns]
    ends = [np.append(c, c[0] + r.length) for c, r in zip(columns, rings, strict=True)]
    spacing = rings[0].length / max(len(rings[0].points), 200)
    ways: list[list[FloatArray]] = [[] for _ in rings]
    places, count = [], 0
    for k in range(len(columns[0])):
        size = max(2, math.ceil((ends[0][k + 1] - ends[0][k]) / spacing))
        share = np.arange(size) / size
        for way, end in zip(ways, ends, strict=True):
            way.append(end[k] + share * (end[k + 1] - end[k]))
        places.append(count)
        count += size
    return [np.concatenate(w) for w in ways], np.array(places, dtype=np.int64)
