"""Average rings that are nearly one another: corner with corner, in step between them."""

import math

import numpy as np

from ...arrays import FloatArray, Indices, Matrix, Points
from ...numeric import foot_fractions, signed_area
from ...tolerance import CORNER_RAD
from ..curves import Loop, transform_points, turn_at

__all__ = ["SampledRing", "average_rings", "sample_loop"]

NEAR = 0.06
"""Fraction of a ring's length that corners of its copies may lie apart and still be the same."""
ANCHORS = 8
"""Places that rings without corners are matched from."""
FEWEST = 200
"""Points of an average, at least."""


class SampledRing:
    """A loop as points (N, 2) mm in order of travel, and the numbers of its corners.

    ``surety`` (N,) is how much each of the points counts; None where all count alike.
    """

    def __init__(self, points: Points, corners: Indices, surety: FloatArray | None = None) -> None:
        self.points = points
        self.corners = corners
        self.surety = surety
        steps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
        self.travel = np.concatenate(([0.0], np.cumsum(steps)))

    @property
    def length(self) -> float:
        """Length once round, mm."""
        return float(self.travel[-1])

    def at(self, travel: FloatArray) -> Points:
        """(N, 2) places at lengths along the ring, taken round and round."""
        wrapped = np.mod(travel, self.length)
        closed = np.vstack((self.points, self.points[:1]))
        return np.column_stack([np.interp(wrapped, self.travel, closed[:, k]) for k in (0, 1)])

    def surety_at(self, travel: FloatArray) -> FloatArray:
        """(N,) how much the places at lengths along the ring count."""
        if self.surety is None:
            return np.ones(len(travel))
        closed = np.append(self.surety, self.surety[0])
        return np.interp(np.mod(travel, self.length), self.travel, closed)

    def mapped(self, matrix: Matrix) -> "SampledRing":
        """Return the ring moved by a 3×3 matrix, still travelled the same way round."""
        points = transform_points(matrix, self.points)
        if np.linalg.det(matrix[:2, :2]) > 0.0:
            return SampledRing(points, self.corners, self.surety)
        turned = None if self.surety is None else self.surety[::-1].copy()
        return SampledRing(points[::-1].copy(), np.sort(len(points) - 1 - self.corners), turned)

    @property
    def is_clockwise(self) -> bool:
        """Whether its signed area is below 0."""
        return signed_area(self.points) < 0.0

    def nearest_travel(self, place: FloatArray) -> float:
        """Length along the ring to its place nearest to a point."""
        following = np.roll(self.points, -1, axis=0)
        along = following - self.points
        fraction = foot_fractions(place, self.points, along)
        gap = self.points + fraction[:, None] * along - place
        k = int(np.argmin(np.einsum("ij,ij->i", gap, gap)))
        return float(self.travel[k] + fraction[k] * math.hypot(*along[k]))


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
        points.append(segment.points_at(np.arange(steps) / steps))
        size += steps
    return SampledRing(np.concatenate(points), np.array(corners, dtype=np.int64))


def average_rings(rings: list[SampledRing], weights: FloatArray) -> tuple[SampledRing, float]:
    """Weighted average of rings that lie nearly on each other and run the same way.

    Corners that all rings share (mutually nearest) are averaged with each other; between them
    rings are matched in step with their own length. Without corners they are matched from the
    places nearest to some of the first ring. Where rings tell how much their points count, each
    counts so, times its weight. The second value is the rms distance of the rings from their plain
    average, mm.
    """
    first = rings[0]
    reach = NEAR * first.length
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
        kept = np.arange(ANCHORS) / ANCHORS * first.length
        places = first.at(kept)
        columns = [kept, *(np.array([r.nearest_travel(p) for p in places]) for r in rings[1:])]
    columns = [_rising(c, r.length) for c, r in zip(columns, rings, strict=True)]
    travels, corner_places = _steps(columns, rings)
    stack = np.array([ring.at(travel) for ring, travel in zip(rings, travels, strict=True)])
    surety = [ring.surety_at(travel) for ring, travel in zip(rings, travels, strict=True)]
    counts = weights[:, None] * np.array(surety)
    total = np.einsum("ij,ijk->jk", counts / counts.sum(axis=0), stack)
    spread = float(np.sqrt(np.mean(np.sum((stack - stack.mean(axis=0)) ** 2, axis=2))))
    corners = corner_places if shared.any() else np.zeros(0, dtype=np.int64)
    return SampledRing(total, corners), spread


def _corner_near(ring: SampledRing, place: FloatArray, reach: float) -> float:
    """Length along the ring to its corner nearest to a place, NaN without one in reach."""
    if len(ring.corners) == 0:
        return math.nan
    gaps = np.hypot(*(ring.points[ring.corners] - place).T)
    k = int(np.argmin(gaps))
    return float(ring.travel[ring.corners[k]]) if gaps[k] <= reach else math.nan


def _rising(travel: FloatArray, length: float) -> FloatArray:
    """Lengths along a ring made to rise by whole rounds from the first."""
    return travel[0] + np.mod(travel - travel[0], length)


def _steps(columns: list[FloatArray], rings: list[SampledRing]) -> tuple[list[FloatArray], Indices]:
    """Lengths along every ring that belong together, and the numbers of those that are anchors.

    An anchor out of order in any ring is passed over.
    """
    order = np.ones(len(columns[0]), dtype=bool)
    for column in columns:
        order[1:] &= np.diff(column) > 1e-9
    columns = [c[order] for c in columns]
    ends = [np.append(c, c[0] + r.length) for c, r in zip(columns, rings, strict=True)]
    spacing = rings[0].length / max(len(rings[0].points), FEWEST)
    travels: list[list[FloatArray]] = [[] for _ in rings]
    places, count = [], 0
    for k in range(len(columns[0])):
        size = max(2, math.ceil((ends[0][k + 1] - ends[0][k]) / spacing))
        fraction = np.arange(size) / size
        for travel, end in zip(travels, ends, strict=True):
            travel.append(end[k] + fraction * (end[k + 1] - end[k]))
        places.append(count)
        count += size
    return [np.concatenate(t) for t in travels], np.array(places, dtype=np.int64)
