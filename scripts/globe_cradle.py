"""The demo's own job: a cradle for a display globe, its numbers and its shapes.

The globe is a ball on a neck; its centre is the origin of the (r, z) plane, z up. A rib of the
cradle lives in that plane. ``hand_cut`` is the same rib as a person cut it from foam core with a
craft knife: lopsided, with short straight cuts along the curves. Plain numpy, no Blender.
"""

import math
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from geometry.outline import Arc, Line, Loop, Profile, Segment
from geometry.part.stock import Stock

__all__ = [
    "BALL_RADIUS_MM",
    "FOAM_CORE_MM",
    "LOWER_RING_Z_MM",
    "NECK_BOTTOM_Z_MM",
    "NECK_DIAMETER_MM",
    "PLYWOOD",
    "RIB_COUNT",
    "UPPER_RING_Z_MM",
    "HandCut",
    "distance_to_ring",
    "hand_cut",
    "mirror_45",
    "neck_top_z_mm",
    "rib",
    "ring_bore_mm",
]

Array = NDArray[np.float64]

BALL_RADIUS_MM = 100.0
NECK_DIAMETER_MM = 42.0
NECK_BOTTOM_Z_MM = -136.0
FOAM_CORE_MM = 5.0
RIB_COUNT = 6
RING_CLEARANCE_MM = 0.3
"""Radial gap between a ring and the globe."""
UPPER_RING_Z_MM = -50.0
LOWER_RING_Z_MM = -120.0
UPPER_RING_OUTER_MM = 228.0
LOWER_RING_OUTER_MM = 112.0
HOLE_DIAMETER_MM = 26.0
HOLE_CENTER_MM = (97.6, -97.6)
INNER_RADIUS_MM = 103.0
OUTER_RADIUS_MM = 60.0
FOOT_MM = 26.0
REACH_MM = 140.0
PLYWOOD = Stock("3 mm plywood", 2.9, 0.18, "laser", 0.0, (600.0, 400.0))
"""What the final parts are cut from: thickness and kerf as measured."""

SPACING_MM = 0.25
RAGGED_MM = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class HandCut:
    """What the knife left: closed polylines in the (r, z) plane, first point not repeated.

    ``outer_mm`` (N, 2) runs counter-clockwise, ``hole_mm`` (M, 2) too; points are at most 0.3 mm
    apart.
    """

    outer_mm: Array
    hole_mm: Array


def neck_top_z_mm() -> float:
    """Where the neck meets the ball."""
    return -math.sqrt(BALL_RADIUS_MM**2 - (NECK_DIAMETER_MM / 2.0) ** 2)


def ring_bore_mm(z_mm: float) -> float:
    """Diameter of a ring's hole at height ``z_mm``: ball or neck, with the clearance."""
    if z_mm > neck_top_z_mm():
        radius = math.sqrt(BALL_RADIUS_MM**2 - z_mm**2)
    else:
        radius = NECK_DIAMETER_MM / 2.0
    return 2.0 * (radius + RING_CLEARANCE_MM)


def mirror_45(points_mm: Array) -> Array:
    """Mirror (N, 2) points in the rib's line r = -z."""
    return -np.asarray(points_mm, dtype=np.float64)[:, ::-1]


def _outer_segments() -> list[Segment]:
    inner = math.sqrt(INNER_RADIUS_MM**2 - FOOT_MM**2)
    bend = REACH_MM - OUTER_RADIUS_MM
    start = math.atan2(-FOOT_MM, inner)
    sweep = -(math.pi / 2.0 + 2.0 * start)
    return [
        Line((FOOT_MM, -REACH_MM), (bend, -REACH_MM)),
        Arc((bend, -bend), OUTER_RADIUS_MM, -math.pi / 2.0, math.pi / 2.0),
        Line((REACH_MM, -bend), (REACH_MM, -FOOT_MM)),
        Line((REACH_MM, -FOOT_MM), (inner, -FOOT_MM)),
        Arc((0.0, 0.0), INNER_RADIUS_MM, start, sweep),
        Line((FOOT_MM, -inner), (FOOT_MM, -REACH_MM)),
    ]


def rib() -> Profile:
    """Return the rib as designed, exactly symmetric about r = -z."""
    hole = Loop.circle(HOLE_CENTER_MM, HOLE_DIAMETER_MM / 2.0)
    return Profile(Loop(tuple(_outer_segments())), (hole,))


def hand_cut(seed: int = 7) -> HandCut:
    """Return the rib as a hand cut it: lopsided, faceted, slightly ragged; same for a seed."""
    rng = np.random.default_rng(seed)
    waves = rng.uniform(-1.0, 1.0, (3, 2)), rng.uniform(0.0, 2.0 * math.pi, (3, 2))
    knots: list[Array] = []
    for segment in _outer_segments():
        at = _knots(segment, rng)
        points = _misjudged(np.array([segment.point_at(float(t)) for t in at]), waves)
        points += rng.normal(0.0, 0.06 if isinstance(segment, Arc) else 0.03, points.shape)
        # A corner is where two cuts end: each falls a little short or long.
        points[0] += rng.uniform(-0.12, 0.12, 2)
        knots.append(points)
    outer = _ragged(_dense(np.concatenate(knots)), rng)
    return HandCut(outer, _ragged(_dense(_hole(rng)), rng))


def _knots(segment: Segment, rng: np.random.Generator) -> Array:
    """Where one stroke of the knife ends and the next begins, as 0 ≤ t < 1."""
    if isinstance(segment, Line):
        return np.arange(0.0, 1.0, 6.0 / segment.length_mm)
    low, high = (8.0, 15.0) if segment.sweep_rad < 0.0 else (6.0, 10.0)
    strokes = rng.uniform(low, high, 64)
    count = int(np.searchsorted(np.cumsum(strokes), segment.length_mm))
    ends = np.concatenate(([0.0], np.cumsum(strokes[: max(count, 2)])))
    return ends[:-1] / ends[-1]


def _misjudged(points: Array, waves: tuple[Array, Array]) -> Array:
    """Shift points by the smooth error of the hand: one foot long, the seat flat, a slow wave."""
    amplitude, phase = waves

    def near(r: float, z: float, reach: float) -> Array:
        return np.exp(-np.sum((points - (r, z)) ** 2, axis=1) / (2.0 * reach**2))

    along = points @ np.array([[0.6, 0.8], [-0.8, 0.6]])
    shift = np.zeros_like(points)
    for k in range(3):
        turn = along * (2.0 * math.pi / (150.0 / (k + 1.0))) + phase[k]
        shift += 0.12 / (k + 1.0) * amplitude[k] * np.sin(turn)
    shift[:, 1] -= 0.78 * near(30.0, -140.0, 26.0)
    seat = 0.5 * near(88.0, -52.0, 22.0) - 0.25 * near(45.0, -93.0, 14.0)
    shift += seat[:, None] * np.array([0.86, -0.5])
    shift[:, 0] -= 0.45 * near(140.0, -45.0, 20.0)
    shift += (0.4 * near(128.0, -117.0, 18.0))[:, None] * np.array([0.7, -0.7])
    return points + shift


def _hole(rng: np.random.Generator) -> Array:
    count = 17
    angles = 2.0 * math.pi * (np.arange(count) + rng.uniform(-0.22, 0.22, count)) / count
    radii = HOLE_DIAMETER_MM / 2.0 + 0.1 * np.sin(2.0 * angles + 0.8) + 0.06
    radii += rng.uniform(-0.08, 0.08, count)
    center = np.add(HOLE_CENTER_MM, (0.1, -0.05))
    return center + radii[:, None] * np.column_stack((np.cos(angles), np.sin(angles)))


def _dense(corners: Array) -> Array:
    """Fill the straight cuts between (N, 2) corners with points, corners kept."""
    pieces = []
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        count = max(math.ceil(math.dist(a, b) / SPACING_MM), 1)
        pieces.append(a + (b - a) * (np.arange(count) / count)[:, None])
    return np.concatenate(pieces)


def _ragged(points: Array, rng: np.random.Generator) -> Array:
    """Tear the edge by up to ±0.05 mm across itself, evened over about a millimetre."""
    noise = rng.normal(size=len(points))
    kernel = np.hanning(7)
    wrapped = np.concatenate((noise[-3:], noise, noise[:3]))
    smooth = np.convolve(wrapped, kernel / kernel.sum(), "valid")
    smooth *= RAGGED_MM / np.abs(smooth).max()
    tangent = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    tangent /= np.hypot(tangent[:, 0], tangent[:, 1])[:, None]
    return points + smooth[:, None] * np.column_stack((tangent[:, 1], -tangent[:, 0]))


def distance_to_ring(points_mm: Array, ring_mm: Array) -> Array:
    """(N,) distance of each point from the nearest side of a closed polyline."""
    a = np.asarray(ring_mm, dtype=np.float64)
    side = np.roll(a, -1, axis=0) - a
    length2 = np.maximum(np.einsum("ij,ij->i", side, side), 1e-18)
    nearest = []
    for block in np.array_split(np.asarray(points_mm, dtype=np.float64), 16):
        offset = block[:, None] - a
        t = np.clip(np.einsum("nij,ij->ni", offset, side) / length2, 0.0, 1.0)
        miss = offset - t[..., None] * side
        nearest.append(np.sqrt(np.einsum("nij,nij->ni", miss, miss).min(axis=1)))
    return np.concatenate(nearest)
