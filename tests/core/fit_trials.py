"""Fit rings drawn at random; tell how well tolerance, joints and nodes are kept."""

import dataclasses
import math

import numpy as np
import shapely

from geometry.outline.fit.fitting import fit_ring
from tests.core.ring_shapes import SMALLEST_TURN, case_of, kink, pairs_of

TANGENT_DEG, KINK_DEG = 0.1, 5.0


@dataclasses.dataclass(frozen=True)
class Trial:
    """How one ring went. Joints and nodes are counted only where the points show them."""

    kind: str
    seed: int
    is_within: bool
    nodes: int
    wanted: int
    tangents: int
    tangent: int
    kinked: int
    corners: int
    kept: int


def is_within(segments, ring, tolerance):
    """Whether ring and curve lie within tolerance of each other."""
    parts = [s.flatten(tolerance / 500.0) for s in segments]
    curve = shapely.LineString(np.vstack([*parts, [segments[-1].end]]))
    places = shapely.get_coordinates(shapely.segmentize(curve, max(tolerance, curve.length / 1e4)))
    pairs = ((ring, curve), (places, shapely.LinearRing(ring)))
    return all(_all_near(points, line, 1.003 * tolerance) for points, line in pairs)


def _all_near(points, line, distance):
    shapely.prepare(line)
    return bool(shapely.dwithin(line, shapely.points(points), distance).all())


def try_ring(kind, seed, **more):
    """Fit one ring and measure it."""
    case = case_of(kind, seed, **more)
    segments = fit_ring(
        case.ring, case.tolerance, character="organic" if kind == "organic" else "precise"
    )
    return Trial(
        kind,
        seed,
        is_within(segments, case.ring, case.tolerance),
        len(segments),
        len(case.chain) if case.is_shown else 0,
        *joints_of(case, segments),
    )


def joints_of(case, segments):
    """True tangents, how many came out so and how many kink; corners, and how many are kept."""
    found = np.array([s.start for s in segments])
    turns = np.array([kink(a, b) for a, b in pairs_of(list(segments))])
    if len(segments) == 1:
        turns = np.zeros(1)
    if not case.is_shown:
        return 0, 0, 0, 0, 0
    if len(case.chain) == 1:
        return 0, 0, 0, 1, int(len(segments) == 1)
    true = np.array([s.start for s in case.chain])
    bends = np.array([kink(a, b) for a, b in pairs_of(case.chain)])
    mine = np.hypot(*(found[:, None] - true).transpose(2, 0, 1)).argmin(axis=1)
    tangents = tangent = kinked = corners = kept = 0
    for k, bend in enumerate(bends):
        here = turns[mine == k]
        if bend < 1e-6:
            worst = math.degrees(here.max(initial=0.0))
            tangents += 1
            tangent += worst <= TANGENT_DEG
            kinked += worst > KINK_DEG
        elif bend > SMALLEST_TURN:
            near = np.hypot(*(found - true[k]).T) < 3.0 * case.tolerance / math.sin(bend / 2.0)
            corners += 1
            kept += bool((near & (turns > 0.5 * bend)).any())
    return tangents, tangent, kinked, corners, kept
