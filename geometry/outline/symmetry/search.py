"""Find the mirror axis or the turning centre a shape is nearest to having."""

import math
from functools import partial

import numpy as np
import shapely
from shapely import Polygon

from ...arrays import FloatArray, Point, Points
from ..curves import Profile, mirror_matrix, rotation_matrix, transform_points

__all__ = [
    "Boundary",
    "best_axis",
    "best_center",
    "find_axis",
    "find_center",
    "overlap",
    "polish_axis",
]

COARSE_STEPS = 90
"""Directions tried over half a turn."""


def overlap(shape: Polygon, other: Polygon) -> float:
    """Intersection over union, 0..1."""
    common = shape.intersection(other).area
    return float(common / (shape.area + other.area - common))


def boundary_points(shape: Polygon, count: int) -> Points:
    """(count, 2) points at even steps along all boundaries."""
    places = (np.arange(count) + 0.5) / count * shape.length
    points, passed = [], 0.0
    for ring in (shape.exterior, *shape.interiors):
        mine = places[(places >= passed) & (places < passed + ring.length)] - passed
        points.append(shapely.get_coordinates(shapely.line_interpolate_point(ring, mine)))
        passed += ring.length
    return np.concatenate(points)


class Boundary:
    """A shape's boundary, quick to ask for its nearest places."""

    def __init__(self, shape: Polygon) -> None:
        rings = [shapely.get_coordinates(ring) for ring in (shape.exterior, *shape.interiors)]
        self._start = np.concatenate([ring[:-1] for ring in rings])
        self._along = np.concatenate([np.diff(ring, axis=0) for ring in rings])
        ends = np.stack((self._start, self._start + self._along), axis=1)
        self._tree = shapely.STRtree(shapely.linestrings(ends))
        self._squared = np.maximum(np.einsum("ij,ij->i", self._along, self._along), 1e-300)

    def nearest(self, points: Points) -> Points:
        """(N, 2) places of the boundary nearest to points."""
        edge = self._tree.nearest(shapely.points(points))
        start, along = self._start[edge], self._along[edge]
        share = np.einsum("ij,ij->i", points - start, along) / self._squared[edge]
        return start + np.clip(share, 0.0, 1.0)[:, None] * along

    def distances(self, points: Points) -> FloatArray:
        """(N,) distances of points from the boundary."""
        gap = self.nearest(points) - points
        return np.hypot(gap[:, 0], gap[:, 1])


def find_axis(profile: Profile) -> tuple[Point, float]:
    """Point and direction (0 <= angle < pi) of the mirror axis with the best overlap.

    A mirror axis passes the centroid, so every direction through it is tried; the best few are
    then drawn to the boundary (iterated closest points, Besl and McKay 1992).
    """
    shape = profile.polygon(0.05)
    center = (float(shape.centroid.x), float(shape.centroid.y))
    points = boundary_points(shape, 160)
    boundary = Boundary(shape)
    angles = np.arange(COARSE_STEPS) * math.pi / COARSE_STEPS
    copies = (transform_points(mirror_matrix(center, a), points) for a in angles.tolist())
    misses = np.array([np.mean(boundary.distances(copy) ** 2) for copy in copies])
    lowest = (misses <= np.roll(misses, 1)) & (misses <= np.roll(misses, -1))
    starts = np.flatnonzero(lowest)
    starts = starts[np.argsort(misses[starts])][:6]
    found = [_drawn_axis(shape, boundary, points, (center, float(angles[k]))) for k in starts]
    scores = [
        overlap(shape, shapely.transform(shape, partial(_mirrored, axis=axis))) for axis in found
    ]
    best = found[int(np.argmax(np.round(scores, 9)))]
    return _drawn_axis(shape, boundary, boundary_points(shape, 500), best)


def _mirrored(points: Points, axis: tuple[Point, float]) -> Points:
    return transform_points(mirror_matrix(*axis), points)


def _drawn_axis(
    shape: Polygon, boundary: Boundary, points: Points, axis: tuple[Point, float]
) -> tuple[Point, float]:
    """Axis for which mirrored boundary points lie nearest to the boundary."""
    center, angle_rad = axis
    for _ in range(40):
        matrix = mirror_matrix(center, angle_rad)
        targets = boundary.nearest(transform_points(matrix, points))
        fresh, angle = best_axis(points, targets)
        moved = abs(math.sin(angle - angle_rad)) * math.sqrt(shape.area) + abs(
            (fresh[0] - center[0]) * math.sin(angle) - (fresh[1] - center[1]) * math.cos(angle)
        )
        center, angle_rad = fresh, angle
        if moved < 1e-9:
            break
    return center, angle_rad % math.pi


def best_axis(points: Points, targets: Points) -> tuple[Point, float]:
    """Axis whose mirror takes (N, 2) points nearest to their targets, in closed form."""
    one, two = points.mean(axis=0), targets.mean(axis=0)
    p, q = points - one, targets - two
    across = float(np.sum(p[:, 0] * q[:, 1] + p[:, 1] * q[:, 0]))
    along = float(np.sum(p[:, 0] * q[:, 0] - p[:, 1] * q[:, 1]))
    middle = (one + two) / 2.0
    return (float(middle[0]), float(middle[1])), 0.5 * math.atan2(across, along)


def find_center(profile: Profile, order: int) -> Point:
    """Centre about which a 1/order turn takes the boundary nearest to itself."""
    shape = profile.polygon(0.02)
    center = np.array([shape.centroid.x, shape.centroid.y])
    points = boundary_points(shape, 500)
    boundary = Boundary(shape)
    angle = 2.0 * math.pi / order
    for _ in range(40):
        turn = rotation_matrix(angle, (float(center[0]), float(center[1])))
        fresh = best_center(points, boundary.nearest(transform_points(turn, points)), angle)
        moved = float(np.hypot(*(fresh - center)))
        center = fresh
        if moved < 1e-10:
            break
    return (float(center[0]), float(center[1]))


def best_center(points: Points, targets: Points, angle_rad: float) -> FloatArray:
    """Centre of the turn by a known angle that takes points nearest to their targets."""
    turn = rotation_matrix(angle_rad)[:2, :2]
    offset = (targets - points @ turn.T).mean(axis=0)
    return np.linalg.solve(np.eye(2) - turn, offset)


def polish_axis(profile: Profile, point: Point, angle_rad: float) -> tuple[Point, float]:
    """The axis again, from nodes and segment middles where these already mirror each other."""
    marks = np.array([p for s in profile.segments() for p in (s.start, s.point_at(0.5))])
    for _ in range(3):
        mirrored = transform_points(mirror_matrix(point, angle_rad), marks)
        gaps = np.hypot(*(mirrored[:, None] - marks[None]).transpose(2, 0, 1))
        partners = np.argmin(gaps, axis=1)
        if gaps.min(axis=1).max() > 1e-2 or len(set(partners.tolist())) < len(marks):
            return point, angle_rad
        point, angle_rad = best_axis(marks, marks[partners])
    return point, angle_rad
