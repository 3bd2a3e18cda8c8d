"""One outline laid on another by the best rigid motion, and how far they then are apart.

Points of the one are drawn to the nearest edges of the other (iterative closest point, Besl and
McKay 1992, with the distance measured square to the edge, Chen and Medioni 1992) from several
turns at once, as a shape may look much like itself turned; places that differ more than the rest
count less (Huber 1964), so that what was trimmed meanwhile does not drag the rest along.
"""

import math
from dataclasses import dataclass

import numpy as np
import shapely

from ..arrays import FloatArray, Indices, Matrix, Point, Points
from ..errors import OutlineError
from ..tolerance import SHOWN_FLAT_MM
from .curves import Profile

__all__ = ["Edges", "Registration", "register"]

SAMPLES = 600
"""Points on the outline that is moved; a part of 300 mm has one every two millimetres."""
STARTS, FIRST_ROUNDS, ROUNDS = 24, 6, 30
"""Turns tried, every 15°; within half of that the rounds find the way by themselves."""
SETTLED_MM = 1e-6
HUBER = 1.345
"""95 % as good as least squares where errors are normal (Huber 1981)."""
UNLIKE = 0.1
"""Outlines whose areas differ by more than this fraction are not of the same part."""


@dataclass(frozen=True, slots=True, eq=False)
class Registration:
    """How an outline was moved onto another.

    ``profile`` is it there, ``matrix`` (3, 3) what moved it, ``turn_rad`` its turn; ``rms_mm`` and
    ``worst_mm`` are how far it is off then, the worst at ``worst_place``.
    """

    profile: Profile
    matrix: Matrix
    turn_rad: float
    rms_mm: float
    worst_mm: float
    worst_place: Point

    @property
    def inverse(self) -> Matrix:
        """(3, 3) what moves the fixed outline's axes onto those of the moved one."""
        return np.asarray(np.linalg.inv(self.matrix))


def register(moved: Profile, fixed: Profile) -> Registration:
    """Return how ``moved`` lies best on ``fixed``, turned and shifted, never scaled or flipped.

    Raises
    ------
    OutlineError
        If the two are so unlike in size that they cannot be the same part.
    """
    share = moved.area_mm2 / fixed.area_mm2
    if not 1.0 - UNLIKE < share < 1.0 / (1.0 - UNLIKE):
        raise OutlineError(
            "The two outlines are not of the same part: one has {share:.0%} of the other's area. "
            "Choose the outline of this part.",
            share=share,
        )
    edges = Edges.of(fixed)
    points = _samples(moved)
    middle = points.mean(axis=0)
    target = shapely.get_coordinates(fixed.polygon().centroid)[0]
    away = np.asarray(shapely.get_coordinates(moved.polygon().centroid)[0]) - middle
    turns = np.arange(STARTS) * 2.0 * math.pi / STARTS
    some = points[:: max(1, len(points) // 150)] - middle
    tried = []
    for turn in turns:
        start = _pose(turn, target - _turned(away[None], turn)[0])
        pose = _closest(some, edges, start, FIRST_ROUNDS)
        # Not the median: of a wheel most places are of its rim, which fits at any turn.
        tried.append((float(np.mean(np.abs(_gaps(some, edges, pose)[0]))), pose))
    best = min(tried, key=lambda one: one[0])[1]
    pose = _closest(points - middle, edges, best, ROUNDS)
    gaps, places = _gaps(points - middle, edges, pose)
    worst = int(np.argmax(np.abs(gaps)))
    matrix = pose @ np.array([[1.0, 0.0, -middle[0]], [0.0, 1.0, -middle[1]], [0.0, 0.0, 1.0]])
    return Registration(
        moved.transformed(matrix),
        matrix,
        math.atan2(matrix[1, 0], matrix[0, 0]),
        float(np.sqrt(np.mean(gaps**2))),
        float(abs(gaps[worst])),
        (float(places[worst, 0]), float(places[worst, 1])),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """(N, 2) starts and ends of an outline's chords, loop by loop, and a tree to find the nearest.

    Outer loops run counter-clockwise and holes clockwise, so the material lies left of each.
    """

    start: Points
    end: Points
    tree: shapely.STRtree

    @classmethod
    def of(cls, profile: Profile) -> "Edges":
        """The edges of an outline, flattened ten times finer than anything is shown."""
        rings = [loop.flatten(0.1 * SHOWN_FLAT_MM) for loop in profile.loops]
        start = np.vstack(rings)
        end = np.vstack([np.roll(ring, -1, axis=0) for ring in rings])
        chords = shapely.linestrings(np.stack((start, end), axis=1))
        return cls(start, end, shapely.STRtree(chords))

    def nearest(self, points: Points) -> tuple[Points, Points]:
        """(N, 2) nearest places of (N, 2) points, and (N, 2) unit normals there."""
        places, normal, _ = self.nearest_chords(points)
        return places, normal

    def nearest_chords(self, points: Points) -> tuple[Points, Points, Indices]:
        """As `nearest`, and (N,) the numbers of the chords; normals look into the material."""
        at = self.tree.nearest(shapely.points(points))
        start, along = self.start[at], self.end[at] - self.start[at]
        size2 = np.maximum((along * along).sum(axis=1), 1e-18)
        fraction = np.clip(((points - start) * along).sum(axis=1) / size2, 0.0, 1.0)
        normal = np.column_stack((-along[:, 1], along[:, 0])) / np.sqrt(size2)[:, None]
        return start + fraction[:, None] * along, normal, at


def _samples(profile: Profile) -> Points:
    """(N, 2) places evenly along all loops."""
    length = sum(loop.length_mm for loop in profile.loops)
    found = []
    for loop in profile.loops:
        ring = shapely.LinearRing(loop.flatten(0.1 * SHOWN_FLAT_MM))
        count = max(12, round(SAMPLES * ring.length / length))
        at = np.arange(count) * ring.length / count
        found.append(shapely.get_coordinates(shapely.line_interpolate_point(ring, at)))
    return np.vstack(found)


def _closest(points: Points, edges: Edges, pose: Matrix, rounds: int) -> Matrix:
    """Draw (N, 2) points to the nearest edges, a few rounds, each a least-squares step."""
    for _ in range(rounds):
        here = points @ pose[:2, :2].T + pose[:2, 2]
        nearest, normal = edges.nearest(here)
        gap = ((nearest - here) * normal).sum(axis=1)
        weight = _huber(gap)
        centre = pose[:2, 2]
        lever = (here[:, 0] - centre[0]) * normal[:, 1] - (here[:, 1] - centre[1]) * normal[:, 0]
        rows = np.column_stack((normal, lever)) * weight[:, None]
        step = np.linalg.lstsq(rows, gap * weight, rcond=None)[0]
        # A turn about a round shape's centre is told by nothing, and not taken.
        turn = _rotation(float(np.clip(step[2], -0.3, 0.3)))
        pose = np.array(pose)
        pose[:2, :2] = turn @ pose[:2, :2]
        pose[:2, 2] += step[:2]
        if np.abs(step[:2]).max() < SETTLED_MM and abs(step[2]) < 1e-9:
            break
    return pose


def _gaps(points: Points, edges: Edges, pose: Matrix) -> tuple[FloatArray, Points]:
    """(N,) distances left of (N, 2) points, inside or outside by their sign, and (N, 2) places."""
    here = points @ pose[:2, :2].T + pose[:2, 2]
    nearest, normal = edges.nearest(here)
    side = np.sign(((here - nearest) * normal).sum(axis=1))
    return np.hypot(*(here - nearest).T) * np.where(side == 0.0, 1.0, side), here


def _huber(gap: FloatArray) -> FloatArray:
    """(N,) square roots of weights: 1 within the usual, less beyond it."""
    spread = max(1.4826 * float(np.median(np.abs(gap))), 1e-6)
    return np.sqrt(np.minimum(1.0, HUBER * spread / np.maximum(np.abs(gap), 1e-12)))


def _rotation(turn: float) -> Matrix:
    return np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])


def _turned(points: Points, turn: float) -> Points:
    return points @ _rotation(turn).T


def _pose(turn: float, place: FloatArray) -> Matrix:
    pose = np.eye(3)
    pose[:2, :2], pose[:2, 2] = _rotation(turn), place
    return pose
