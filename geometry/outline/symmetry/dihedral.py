"""Shapes that turn onto themselves and mirror: one wedge is fitted, the rest are its copies.

A wedge reaches from one mirror axis to the next, half of what repeats in a turn.
"""

import math

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Matrix, Point, Points
from ...errors import SymmetryError
from ..curves import (
    Arc,
    Loop,
    Profile,
    Segment,
    mirror_matrix,
    move_matrix,
    rotation_matrix,
    transform_points,
)
from ..fit import fit_chain, fit_ring
from .average import SampledRing, average_rings, sample_loop
from .build import (
    FLIP,
    SPACING_MM,
    across_axis,
    centred_circle,
    copied,
    middle_of,
    mirrored_loop,
    orbits,
    square_on,
)
from .search import Boundary, boundary_points

__all__ = ["build_dihedral", "dihedral_copies", "find_direction"]

DIRECTIONS = 45
"""Directions tried between one mirror axis and the next."""


def dihedral_copies(order: int) -> list[Matrix]:
    """Return the turns about the origin, then the mirrors, with the x axis one mirror axis."""
    turns = [rotation_matrix(2.0 * math.pi * k / order) for k in range(order)]
    return [*turns, *(turn @ FLIP for turn in turns)]


def find_direction(profile: Profile, center: Point, order: int) -> float:
    """Direction 0 <= angle < pi / order of the mirror axis through a centre that fits best.

    All directions are tried, and the best is drawn to the boundary (iterated closest points).
    """
    shape = profile.polygon(0.02)
    points = boundary_points(shape, 500)
    boundary = Boundary(shape)
    step = math.pi / order
    tried = np.arange(DIRECTIONS) * step / DIRECTIONS
    misses = [
        np.mean(boundary.distances(transform_points(mirror_matrix(center, a), points)) ** 2)
        for a in tried.tolist()
    ]
    angle = float(tried[int(np.argmin(misses))])
    p = points - center
    for _ in range(40):
        q = boundary.nearest(transform_points(mirror_matrix(center, angle), points)) - center
        across = float(np.sum(p[:, 0] * q[:, 1] + p[:, 1] * q[:, 0]))
        along = float(np.sum(p[:, 0] * q[:, 0] - p[:, 1] * q[:, 1]))
        fresh = 0.5 * math.atan2(across, along)
        moved = abs(math.sin(fresh - angle))
        angle = fresh
        if moved < 1e-12:
            break
    return angle % step


def build_dihedral(
    profile: Profile, center: Point, angle_rad: float, order: int, keep: str, tolerance_mm: float
) -> Profile:
    """Profile with ``order`` mirror axes through ``center``, one of them at ``angle_rad``.

    Raises
    ------
    SymmetryError
        If a hole has no partners, or no mirror axis crosses the outline.
    """
    place = rotation_matrix(-angle_rad) @ move_matrix(-center[0], -center[1])
    local = profile.transformed(place)
    copies = dihedral_copies(order)
    loops: list[Loop] = []
    for group in orbits(local.loops, copies):
        loops.extend(_family(local.loops, group, copies, keep, tolerance_mm))
    back = np.linalg.inv(place)
    moved = [loop.transformed(back) for loop in loops]
    outer = moved.pop(int(np.argmax([abs(loop.signed_area_mm2) for loop in moved])))
    return Profile(outer, tuple(moved))


def _family(
    loops: tuple[Loop, ...],
    partners: list[int],
    copies: list[Matrix],
    keep: str,
    tolerance_mm: float,
) -> list[Loop]:
    """All loops that belong to one, averaged over the copies or taken from a kept wedge."""
    order = len(copies) // 2
    count = len(set(partners))
    weights = _weights(loops, partners, order, keep)
    axis = _own_axis(partners, order) if count == order else 0.0
    # The loop is treated with its own mirror axis as the x axis.
    turn = rotation_matrix(-axis)
    if all(loops[p].is_circle for p in partners):
        one = _circle(loops, partners, copies, weights, turn, count)
    else:
        one = _noncircle(loops, partners, copies, weights, turn, count, tolerance_mm)
    if count == 1:
        return [one]
    one = one.transformed(np.linalg.inv(turn))
    first = [partners.index(p) for p in dict.fromkeys(partners)]
    return [one if k == 0 else copied(one, copies[k]) for k in first]


def _weights(loops: tuple[Loop, ...], partners: list[int], order: int, keep: str) -> FloatArray:
    """How much each copy counts: all alike, or the one that lies in the kept wedge alone."""
    if keep == "average":
        return np.full(2 * order, 0.5 / order)
    wedge = math.pi / order
    wanted = 0.5 * wedge if keep == "first" else -0.5 * wedge
    weights = np.zeros(2 * order)
    if len(set(partners)) == 1:
        weights[0 if keep == "first" else order] = 1.0
        return weights
    aside = []
    for partner in partners:
        x, y = middle_of(loops[partner])
        gap = math.atan2(y, x) - wanted
        aside.append(abs(math.remainder(gap, 2.0 * math.pi)))
    weights[int(np.argmin(aside))] = 1.0
    return weights


def _own_axis(partners: list[int], order: int) -> float:
    """Direction of the mirror axis that takes the family's first loop onto itself.

    Raises
    ------
    SymmetryError
        If there is none.
    """
    for k in range(order):
        if partners[order + k] == partners[0]:
            return math.pi * k / order
    raise SymmetryError(
        "Some holes turn onto each other but do not mirror. Leave the mirror out, or add the "
        "missing holes."
    )


def _circle(
    loops: tuple[Loop, ...],
    partners: list[int],
    copies: list[Matrix],
    weights: FloatArray,
    turn: Matrix,
    count: int,
) -> Loop:
    """Circle of averaged centre and radius, no fitting."""
    center, radius = np.zeros(2), 0.0
    for copy, partner, weight in zip(copies, partners, weights, strict=True):
        arc = loops[partner].segments[0]
        assert isinstance(arc, Arc)
        back = turn @ np.linalg.inv(copy)
        center += weight * transform_points(back, np.array([arc.center]))[0]
        radius += float(weight) * arc.radius_mm
    x, y = float(center[0]), float(center[1])
    if count == 1:
        return Loop.circle((0.0, 0.0), radius)
    return Loop.circle((x, 0.0) if 2 * count == len(copies) else (x, y), radius)


def _noncircle(
    loops: tuple[Loop, ...],
    partners: list[int],
    copies: list[Matrix],
    weights: FloatArray,
    turn: Matrix,
    count: int,
    tolerance_mm: float,
) -> Loop:
    rings = []
    sampled = {partner: sample_loop(loops[partner], SPACING_MM) for partner in set(partners)}
    for copy, partner in zip(copies, partners, strict=True):
        ring = sampled[partner]
        moved = transform_points(turn @ np.linalg.inv(copy), ring.points)
        flips = bool(np.linalg.det(copy[:2, :2]) < 0.0)
        rings.append(ring.mapped(moved, turned_over=flips))
    average, spread = average_rings(rings, weights)
    if count == len(copies):
        return Loop(fit_ring(average.points, tolerance_mm))
    on_axis = 2 * count == len(copies)
    whole = centred_circle(average, on_axis, tolerance_mm, spread)
    if whole is not None:
        return whole
    if on_axis:
        return mirrored_loop(average, tolerance_mm)
    return _wedged_loop(average, len(copies) // 2, tolerance_mm)


def _wedged_loop(ring: SampledRing, order: int, tolerance_mm: float) -> Loop:
    """Loop about the origin: the wedge between two axes, its mirror images and their turns."""
    half = rotation_matrix(math.pi / order)
    unturn = np.linalg.inv(half)
    points = _wedge_points(ring, half)
    chain = fit_chain(
        points,
        tolerance_mm,
        start_direction=square_on(points[:6], 1.0),
        end_direction=_turned(square_on(transform_points(unturn, points[-6:]), 1.0), half),
        mirrored=True,
    )
    last = chain[-1].transformed(unturn).reversed()
    start, end = across_axis(chain[0], tolerance_mm), across_axis(last, tolerance_mm)
    if len(chain) == 1 and start is not None:
        end = None
    inner = list(chain[(0 if start is None else 1) : (len(chain) if end is None else -1)])
    sector: list[Segment] = [] if start is None else [start]
    sector += inner
    if end is not None:
        sector.append(end.reversed().transformed(half))
    mirror = half @ half @ FLIP
    sector += [s.transformed(mirror).reversed() for s in reversed(inner)]
    return Loop(
        [
            s.transformed(rotation_matrix(2.0 * math.pi * k / order)) if k else s
            for k in range(order)
            for s in sector
        ]
    )


def _turned(direction: FloatArray | None, matrix: Matrix) -> FloatArray | None:
    return None if direction is None else matrix[:2, :2] @ direction


def _wedge_points(ring: SampledRing, half: Matrix) -> Points:
    """Points from the x axis to the next mirror axis, counter-clockwise, their ends exactly on."""
    points = ring.points
    x, y = points.T
    if float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) < 0.0:
        points = points[::-1].copy()
    points = np.roll(points, -_crossing(points), axis=0)
    stop = _crossing(transform_points(np.linalg.inv(half), points))
    # Rolled points begin just after the first axis; the last of them lies just before it.
    run = np.vstack((points[-1], points[: stop + 1]))
    run[0] = _on_axis(run[0], run[1])
    ends = transform_points(np.linalg.inv(half), run[-2:])
    run[-1] = transform_points(half, _on_axis(ends[0], ends[1])[None])[0]
    keep = np.ones(len(run), dtype=bool)
    keep[1] = np.hypot(*(run[1] - run[0])) > 0.2 * SPACING_MM
    keep[-2] = np.hypot(*(run[-2] - run[-1])) > 0.2 * SPACING_MM
    return run[keep]


def _crossing(points: Points) -> int:
    """Return the first point after the ring rises over the positive x axis."""
    y: NDArray[np.float64] = points[:, 1]
    before = np.roll(points, 1, axis=0)
    rises = (before[:, 1] < 0.0) & (y >= 0.0) & (points[:, 0] + before[:, 0] > 0.0)
    if not rises.any():
        raise SymmetryError(
            "A mirror axis does not cross the outline. Give the centre, or leave the mirror out."
        )
    return int(np.argmax(rises))


def _on_axis(a: FloatArray, b: FloatArray) -> FloatArray:
    """Where the x axis is crossed between two places."""
    share = a[1] / (a[1] - b[1]) if a[1] != b[1] else 0.0
    return np.array([a[0] + share * (b[0] - a[0]), 0.0])
