"""Find the mirror axis or the turning centre a shape is nearest to having."""

import math
from functools import partial

import numpy as np
import shapely
from shapely import Polygon

from ...arrays import FloatArray, Point, Points
from ...numeric import foot_fractions
from ...tolerance import SEARCH_FLAT_MM, SHOWN_FLAT_MM
from ..curves import Profile, mirror_matrix, rotation_matrix, transform_points

__all__ = [
    "Boundary",
    "best_axis",
    "best_center",
    "find_axis",
    "find_center",
    "find_direction",
    "overlap",
    "polish_axis",
]

COARSE_STEPS, DIRECTIONS = 90, 45
"""Directions tried over half a turn, and from one of several mirror axes to the next: 2° apart and
less, within which the search for closest points finds its way."""
MOST_STARTS = 6
"""Best directions that are followed up."""
FEW_POINTS, MANY_POINTS = 160, 500
"""Points of the boundary that decide between directions, and that place an axis or centre."""
MOST_ROUNDS = 40
"""Rounds of the search for closest points, at most."""
STILL_MM = 1e-9
"""Movement at which it has come to rest."""


def overlap(shape: Polygon, other: Polygon) -> float:
    """Intersection over union of two regions, 0 to 1."""
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

    def nearest(self, points: Points) -> Points:
        """(N, 2) places of the boundary nearest to points."""
        edge = self._tree.nearest(shapely.points(points))
        start, along = self._start[edge], self._along[edge]
        return start + foot_fractions(points, start, along)[:, None] * along

    def distances(self, points: Points) -> FloatArray:
        """(N,) distances, mm, of (N, 2) points from the boundary."""
        gap = self.nearest(points) - points
        return np.hypot(gap[:, 0], gap[:, 1])


def find_axis(profile: Profile) -> tuple[Point, float]:
    """Point and direction (0 <= angle < pi) of the mirror axis with the best overlap.

    A mirror axis passes the centroid, so every direction through it is tried; the best few are
    then drawn to the boundary.
    """
    shape = profile.polygon(SHOWN_FLAT_MM)
    center = (float(shape.centroid.x), float(shape.centroid.y))
    points, boundary = boundary_points(shape, FEW_POINTS), Boundary(shape)
    angles = np.arange(COARSE_STEPS) * math.pi / COARSE_STEPS
    off = _mean_squares(boundary, points, center, angles)
    starts = np.flatnonzero((off <= np.roll(off, 1)) & (off <= np.roll(off, -1)))
    starts = starts[np.argsort(off[starts])][:MOST_STARTS]
    found = [_draw_axis(boundary, points, center, float(angles[k]), held=False) for k in starts]
    images = [shapely.transform(shape, partial(_mirrored, axis=axis)) for axis in found]
    scores = [overlap(shape, image) for image in images]
    point, angle = found[int(np.argmax(np.round(scores, 9)))]
    return _draw_axis(boundary, boundary_points(shape, MANY_POINTS), point, angle, held=False)


def find_direction(profile: Profile, center: Point, order: int) -> float:
    """Direction, 0 <= angle < pi / order rad, of the mirror axis through a centre that fits best.

    All directions are tried, and the best is drawn to the boundary.

    Parameters
    ----------
    profile
        The shape.
    center
        (x, y) mm.
    order
        How often it turns onto itself.
    """
    shape = profile.polygon(SEARCH_FLAT_MM)
    points, boundary = boundary_points(shape, MANY_POINTS), Boundary(shape)
    step = math.pi / order
    angles = np.arange(DIRECTIONS) * step / DIRECTIONS
    best = float(angles[int(np.argmin(_mean_squares(boundary, points, center, angles)))])
    return _draw_axis(boundary, points, center, best, held=True)[1] % step


def _mean_squares(
    boundary: Boundary, points: Points, center: Point, angles: FloatArray
) -> FloatArray:
    """(A,) mean squared distances of points mirrored in each direction from the boundary, mm²."""
    images = (transform_points(mirror_matrix(center, a), points) for a in angles.tolist())
    return np.array([np.mean(boundary.distances(image) ** 2) for image in images])


def _mirrored(points: Points, axis: tuple[Point, float]) -> Points:
    return transform_points(mirror_matrix(*axis), points)


def _draw_axis(
    boundary: Boundary, points: Points, center: Point, angle_rad: float, *, held: bool
) -> tuple[Point, float]:
    """Axis for which mirrored boundary points lie nearest to the boundary.

    Iterated closest points (Besl and McKay, PAMI 14, 1992).

    Parameters
    ----------
    boundary
        Where mirrored points have to come to lie.
    points
        (N, 2) points of that boundary, mm.
    center, angle_rad
        Point and direction of the axis begun with.
    held
        Whether the axis stays on its point and only turns.
    """
    for _ in range(MOST_ROUNDS):
        targets = boundary.nearest(transform_points(mirror_matrix(center, angle_rad), points))
        fresh, angle = best_axis(points, targets, center if held else None)
        moved = abs(math.sin(angle - angle_rad)) * float(np.ptp(points, axis=0).max()) + abs(
            (fresh[0] - center[0]) * math.sin(angle) - (fresh[1] - center[1]) * math.cos(angle)
        )
        center, angle_rad = fresh, angle
        if moved < STILL_MM:
            break
    return center, angle_rad % math.pi


def best_axis(points: Points, targets: Points, center: Point | None = None) -> tuple[Point, float]:
    """Axis whose mirror takes (N, 2) points nearest to their targets, in closed form.

    It passes ``center`` where that is given, else the middle between both means.

    Parameters
    ----------
    points, targets
        (N, 2) mm each, in pairs.
    center
        What the axis passes, mm; None for the middle between both means.
    """
    one, two = (points.mean(axis=0), targets.mean(axis=0)) if center is None else (center, center)
    p, q = points - one, targets - two
    across = float(np.sum(p[:, 0] * q[:, 1] + p[:, 1] * q[:, 0]))
    along = float(np.sum(p[:, 0] * q[:, 0] - p[:, 1] * q[:, 1]))
    middle = np.add(one, two) / 2.0
    return (float(middle[0]), float(middle[1])), 0.5 * math.atan2(across, along)


def find_center(profile: Profile, order: int) -> Point:
    """Centre about which a 1/order turn takes the boundary nearest to itself."""
    shape = profile.polygon(SEARCH_FLAT_MM)
    center = np.array([shape.centroid.x, shape.centroid.y])
    points = boundary_points(shape, MANY_POINTS)
    boundary = Boundary(shape)
    angle = 2.0 * math.pi / order
    for _ in range(MOST_ROUNDS):
        turn = rotation_matrix(angle, (float(center[0]), float(center[1])))
        fresh = best_center(points, boundary.nearest(transform_points(turn, points)), angle)
        moved = float(np.hypot(*(fresh - center)))
        center = fresh
        if moved < STILL_MM / 10.0:
            break
    return (float(center[0]), float(center[1]))


def best_center(points: Points, targets: Points, angle_rad: float) -> FloatArray:
    """(2,) mm: centre of the turn that takes points nearest to their targets, by least squares.

    Parameters
    ----------
    points, targets
        (N, 2) mm each, in pairs.
    angle_rad
        Of the turn.
    """
    turn = rotation_matrix(angle_rad)[:2, :2]
    offset = (targets - points @ turn.T).mean(axis=0)
    return np.linalg.solve(np.eye(2) - turn, offset)


def polish_axis(profile: Profile, point: Point, angle_rad: float) -> tuple[Point, float]:
    """Point, mm, and angle, rad, of an axis: exact where nodes and middles mirror each other.

    Parameters
    ----------
    profile
        The shape.
    point, angle_rad
        An axis found by search.
    """
    marks = np.array([p for s in profile.segments() for p in (s.start, s.point_at(0.5))])
    for _ in range(3):
        mirrored = transform_points(mirror_matrix(point, angle_rad), marks)
        gaps = np.hypot(*(mirrored[:, None] - marks[None]).transpose(2, 0, 1))
        partners = np.argmin(gaps, axis=1)
        if gaps.min(axis=1).max() > 1e-2 or len(set(partners.tolist())) < len(marks):
            return point, angle_rad
        point, angle_rad = best_axis(marks, marks[partners])
    return point, angle_rad
