"""Features of a real part that must fit something: found by a place, made wider or narrower."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import shapely

from ..arrays import Point
from ..errors import OutlineError, PartError
from ..outline.curves import Arc, EdgeKey, Line, Profile, move_edges
from ..tolerance import SAME_SIZE_MM
from .fits import OPENINGS, Feature

__all__ = ["FoundFeature", "find_feature", "resized"]

ROUND_ENOUGH_RAD = math.radians(60.0)
"""Less of a circle than this holds nothing in place."""
PARALLEL = 1e-3
"""A milliradian: over 100 mm a tenth of a mm, which no caliper reads as taper."""


@dataclass(frozen=True, slots=True)
class FoundFeature:
    """Edges that make one feature of a profile, its size as drawn and a place on it."""

    feature: Feature
    size_mm: float
    edges: tuple[EdgeKey, ...]
    place: Point


def find_feature(profile: Profile, feature: Feature, near: Point | None = None) -> FoundFeature:
    """Return the feature of a kind nearest to a place.

    Parameters
    ----------
    near
        Where it is, in mm. Without a place it is the largest circle, or the narrowest slot or tab.

    Raises
    ------
    PartError
        If the part has no such feature.
    """
    if feature in ("ring bore", "ring outside", "hole"):
        found = _circles(profile, feature)
    elif feature in ("slot", "tab", "peg"):
        found = _walls(profile, feature)
    else:
        raise PartError(
            "There is no feature called “{feature}”. Choose another one.",
            feature=feature,
        )
    if not found:
        raise PartError(
            "The part has no {feature}: no circular edge of that kind that goes at least a sixth "
            "round. Select a part that has one, or try a coupon."
            if feature in ("ring bore", "ring outside", "hole")
            else "The part has no {feature}: no two parallel straight edges face each other. "
            "Select a part that has one, or try a coupon.",
            feature=feature,
        )
    if near is None:
        sign = -1.0 if feature in ("ring bore", "ring outside", "hole") else 1.0
        return min(found, key=lambda f: sign * f.size_mm)
    # A place inside several pairs of walls means the narrowest of them.
    return min(found, key=lambda f: (round(_distance(profile, f, near), 6), f.size_mm))


def resized(profile: Profile, changes: Sequence[tuple[FoundFeature, float]]) -> Profile:
    """Return the profile with features at new sizes (mm), all moved in one go.

    Raises
    ------
    PartError
        If a feature cannot have that size without running into its neighbours.
    """
    moves: dict[EdgeKey, float] = {}
    for found, size_mm in changes:
        half = (size_mm - found.size_mm) / 2.0
        by = -half if found.feature in OPENINGS else half
        for edge in found.edges:
            moves[edge] = moves.get(edge, 0.0) + by
    try:
        return move_edges(profile, moves)
    except OutlineError as error:
        sizes = ", ".join(f"{f.feature} {size:g} mm" for f, size in changes)
        raise PartError(
            "The part cannot be made with {sizes}. {error}",
            sizes=sizes,
            error=error,
        ) from error


def _circles(profile: Profile, feature: Feature) -> list[FoundFeature]:
    """Arcs of one circle, material inside it for an outside and around it for a bore."""
    groups: list[tuple[Arc, list[EdgeKey], float]] = []
    for loop_number, loop in enumerate(profile.loops):
        for number, segment in enumerate(loop.segments):
            if not isinstance(segment, Arc) or (segment.sweep_rad < 0.0) != (feature in OPENINGS):
                continue
            for i, (first, edges, swept) in enumerate(groups):
                if (
                    math.dist(first.center, segment.center) < SAME_SIZE_MM
                    and abs(first.radius_mm - segment.radius_mm) < SAME_SIZE_MM
                ):
                    edges.append((loop_number, number))
                    groups[i] = (first, edges, swept + abs(segment.sweep_rad))
                    break
            else:
                groups.append((segment, [(loop_number, number)], abs(segment.sweep_rad)))
    return [
        FoundFeature(feature, 2.0 * arc.radius_mm, tuple(edges), arc.center)
        for arc, edges, swept in groups
        if swept >= ROUND_ENOUGH_RAD - 1e-9
    ]


def _walls(profile: Profile, feature: Feature) -> list[FoundFeature]:
    """Pairs of parallel edges that face each other across void (slot) or material (tab, peg)."""
    lines = [
        ((loop_number, number), segment)
        for loop_number, loop in enumerate(profile.loops)
        for number, segment in enumerate(loop.segments)
        if isinstance(segment, Line)
    ]
    shape = profile.polygon(1e-3)
    found = []
    for (key_a, a), (key_b, b) in combinations(lines, 2):
        (ux, uy), (vx, vy) = a.tangent_at(0.0), b.tangent_at(0.0)
        if ux * vx + uy * vy > -1.0 + PARALLEL or abs(ux * vy - uy * vx) > PARALLEL:
            continue
        # Material lies to the left of a: the other wall is there for a tab, right for a slot.
        wx, wy = b.start[0] - a.start[0], b.start[1] - a.start[1]
        beside = ux * wy - uy * wx
        if (beside < 0.0) != (feature == "slot") or abs(beside) < SAME_SIZE_MM:
            continue
        ends = sorted((wx * ux + wy * uy, wx * ux + wy * uy - b.length_mm))
        low, high = max(ends[0], 0.0), min(ends[1], a.length_mm)
        if high - low < SAME_SIZE_MM:
            continue
        middle = (low + high) / 2.0
        foot = (a.start[0] + middle * ux, a.start[1] + middle * uy)
        across = shapely.LineString([foot, (foot[0] - uy * beside, foot[1] + ux * beside)])
        covered = shapely.intersection(across, shape).length / across.length
        if abs(covered - (0.0 if feature == "slot" else 1.0)) > 1e-3:
            continue
        center = across.interpolate(0.5, normalized=True)
        found.append(FoundFeature(feature, abs(beside), (key_a, key_b), (center.x, center.y)))
    return found


def _distance(profile: Profile, found: FoundFeature, near: Point) -> float:
    """From a place to a circle's arcs, or to what lies between two walls."""
    loops = profile.loops
    lines = [
        shapely.LineString([*loops[i].segments[k].flatten(1e-2), loops[i].segments[k].end])
        for i, k in found.edges
    ]
    edges = shapely.union_all(lines)
    walls = found.feature in ("slot", "tab", "peg")
    return float(shapely.distance(edges.convex_hull if walls else edges, shapely.Point(near)))
