"""Build the exactly symmetric shape: one half or sector is fitted, the rest are its copies."""

import math

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Matrix, Point, Points
from ...errors import OutlineError, SymmetryError
from ..curves import (
    Arc,
    Line,
    Loop,
    Profile,
    Segment,
    move_matrix,
    rotation_matrix,
    transform_points,
)
from ..fit import fit_chain, fit_circle, fit_ring
from .average import SampledRing, average_rings, sample_loop

__all__ = [
    "FLIP",
    "SPACING_MM",
    "across_axis",
    "build",
    "centred_circle",
    "copied",
    "middle_of",
    "mirrored_loop",
    "orbits",
    "square_on",
]

SPACING_MM = 0.25
FLIP = np.diag([1.0, -1.0, 1.0])
"""Mirror in the x axis, exact in floating point."""


def build(
    profile: Profile,
    point: Point,
    angle_rad: float | None,
    order: int,
    keep: str,
    tolerance_mm: float,
) -> Profile:
    """Symmetric profile about an axis (``angle_rad`` given) or a centre.

    All work is done with the axis as the x axis, or the centre at the origin, so that copies
    differ by a change of sign or one rotation alone.
    """
    place = move_matrix(-point[0], -point[1])
    if angle_rad is not None:
        place = rotation_matrix(-angle_rad) @ place
    local = profile.transformed(place)
    if angle_rad is not None:
        copies = [np.eye(3), FLIP]
    else:
        copies = [rotation_matrix(2.0 * math.pi * k / order) for k in range(order)]
    loops: list[Loop] = []
    for group in orbits(local.loops, copies):
        loops.extend(_symmetric_loops(local.loops, group, copies, keep, tolerance_mm))
    back = np.linalg.inv(place)
    moved = [loop.transformed(back) for loop in loops]
    areas = [abs(loop.signed_area_mm2) for loop in moved]
    outer = moved.pop(int(np.argmax(areas)))
    return Profile(outer, tuple(moved))


def orbits(loops: tuple[Loop, ...], copies: list[Matrix]) -> list[list[int]]:
    """For one loop of each family, the loop that each copy takes it to."""
    middles = np.array([middle_of(loop) for loop in loops])
    sizes = np.sqrt([abs(loop.signed_area_mm2) for loop in loops])
    seen: set[int] = set()
    result = []
    for k in range(len(loops)):
        if k in seen:
            continue
        partners = []
        for copy in copies:
            away = np.hypot(*(middles - transform_points(copy, middles[k : k + 1])[0]).T)
            away = away + np.abs(sizes - sizes[k])
            if k == 0:
                partners.append(0)
                continue
            away[0] = np.inf
            partner = int(np.argmin(away))
            if away[partner] > 0.5 * sizes[k] + 1.0:
                x, y = middles[k]
                raise SymmetryError(
                    "The hole {hypot:.1f} mm from the axis or centre has no partner "
                    "on the other side. Add the missing hole, or leave this one out.",
                    hypot=math.hypot(x, y),
                )
            partners.append(partner)
        seen.update(partners)
        result.append(partners)
    return result


def middle_of(loop: Loop) -> FloatArray:
    """(2,) centroid of the area a loop encloses, mm."""
    points = loop.flatten(0.05)
    x, y = points.T
    nx, ny = np.roll(x, -1), np.roll(y, -1)
    cross = x * ny - y * nx
    if abs(cross.sum()) < 1e-12:
        return points.mean(axis=0)
    return np.array([((x + nx) * cross).sum(), ((y + ny) * cross).sum()]) / (3.0 * cross.sum())


def _symmetric_loops(
    loops: tuple[Loop, ...],
    partners: list[int],
    copies: list[Matrix],
    keep: str,
    tolerance_mm: float,
) -> list[Loop]:
    """The family of loops that belong to one, averaged or copied."""
    flips = bool(np.linalg.det(copies[-1][:2, :2]) < 0.0)
    several = len(set(partners)) > 1
    weights = np.full(len(copies), 1.0 / len(copies))
    if keep != "average":
        # Left of the axis is where y is positive; a loop right of it is its partner's copy.
        mine = int(several and flips and middle_of(loops[partners[0]])[1] < 0.0)
        weights[:] = 0.0
        weights[mine if keep == "first" else (mine + 1) % len(copies)] = 1.0
    if all(loops[partner].is_circle for partner in partners):
        return _circles(loops, partners, copies, weights)
    rings = []
    sampled = {partner: sample_loop(loops[partner], SPACING_MM) for partner in set(partners)}
    for copy, partner in zip(copies, partners, strict=True):
        ring = sampled[partner]
        turned = bool(np.linalg.det(copy[:2, :2]) < 0.0)
        moved = transform_points(np.linalg.inv(copy), ring.points)
        rings.append(ring.mapped(moved, turned_over=turned))
    average, spread = average_rings(rings, weights)
    if several:
        one = Loop(fit_ring(average.points, tolerance_mm))
        return [one if k == 0 else copied(one, copy) for k, copy in enumerate(copies)]
    round_loop = centred_circle(average, flips, tolerance_mm, spread)
    if round_loop is not None:
        return [round_loop]
    if flips:
        return [mirrored_loop(average, tolerance_mm)]
    return [_turned_loop(average, copies, tolerance_mm)]


def _circles(
    loops: tuple[Loop, ...], partners: list[int], copies: list[Matrix], weights: FloatArray
) -> list[Loop]:
    """A family of whole circles: centres and radii averaged, no fitting."""
    center, radius = np.zeros(2), 0.0
    for copy, partner, weight in zip(copies, partners, weights, strict=True):
        arc = loops[partner].segments[0]
        assert isinstance(arc, Arc)
        center += weight * transform_points(np.linalg.inv(copy), np.array([arc.center]))[0]
        radius += float(weight) * arc.radius_mm
    one = Loop.circle((float(center[0]), float(center[1])), radius)
    if len(set(partners)) > 1:
        return [one if k == 0 else copied(one, copy) for k, copy in enumerate(copies)]
    flips = bool(np.linalg.det(copies[-1][:2, :2]) < 0.0)
    return [Loop.circle((float(center[0]), 0.0) if flips else (0.0, 0.0), radius)]


def copied(loop: Loop, copy: Matrix) -> Loop:
    """Return a loop's turned or mirrored copy, travelled the same way round."""
    moved = loop.transformed(copy)
    return moved.reversed() if np.linalg.det(copy[:2, :2]) < 0.0 else moved


def centred_circle(
    ring: SampledRing, flips: bool, tolerance_mm: float, spread_mm: float
) -> Loop | None:
    """Whole circle on the axis or about the centre, where the ring is one.

    The hand that cut the copies ``spread_mm`` apart was no surer about the circle itself.
    """
    try:
        circle = fit_circle(ring.points)
    except OutlineError:
        return None
    center = (circle.center[0], 0.0) if flips else (0.0, 0.0)
    gaps = np.abs(np.hypot(*(ring.points - center).T) - circle.radius_mm)
    allowed = max(tolerance_mm, min(3.0 * spread_mm, 0.04 * circle.radius_mm))
    return Loop.circle(center, circle.radius_mm) if gaps.max() <= allowed else None


def mirrored_loop(ring: SampledRing, tolerance_mm: float) -> Loop:
    """Loop that crosses the x axis twice: the half above it and its mirror image."""
    points = _upper_half(ring)
    chain = fit_chain(
        points,
        tolerance_mm,
        start_direction=square_on(points[:6], 1.0),
        end_direction=square_on(points[-6:], -1.0),
        mirrored=True,
    )
    half = _without_middle_nodes(list(chain), tolerance_mm)
    return Loop(tuple(half))


def _upper_half(ring: SampledRing) -> Points:
    """Points above the axis in travel order, their ends on it exactly."""
    y = ring.points[:, 1]
    above = y > 0.0
    if above.all() or not above.any():
        raise SymmetryError(
            "The axis does not cross the outline. Move the axis so that it passes the shape."
        )
    starts = np.flatnonzero(above & ~np.roll(above, 1))
    sizes = [_run_length(above, int(s)) for s in starts]
    first, size = int(starts[int(np.argmax(sizes))]), max(sizes)
    places = (first - 1 + np.arange(size + 2)) % len(y)
    run = ring.points[places].copy()
    for end, inner in ((0, 1), (-1, -2)):
        a, b = run[end], run[inner]
        share = b[1] / (b[1] - a[1])
        run[end] = (b[0] + share * (a[0] - b[0]), 0.0)
    keep = np.ones(len(run), dtype=bool)
    # A point within a hair of the crossing would make a stub that hides the true direction.
    keep[1] = np.hypot(*(run[1] - run[0])) > 0.2 * SPACING_MM
    keep[-2] = np.hypot(*(run[-2] - run[-1])) > 0.2 * SPACING_MM
    return run[keep]


def _run_length(above: NDArray[np.bool_], start: int) -> int:
    following = np.roll(above, -start)
    stops = np.flatnonzero(~following)
    return int(stops[0])


def square_on(run: Points, sign: float) -> FloatArray | None:
    """Direction square to the axis where the outline passes it smoothly, else None."""
    along = run[-1] - run[0]
    if abs(along[0]) > 0.3 * abs(along[1]):
        return None
    return np.array([0.0, sign])


def _without_middle_nodes(half: list[Segment], tolerance_mm: float) -> list[Segment]:
    """Half and mirror image, a line or arc that passes the axis squarely made one."""
    first, last = half[0], half[-1]
    start = across_axis(first, tolerance_mm)
    end = across_axis(last.reversed(), tolerance_mm)
    if len(half) == 1:
        start = end = None
    inner = half[(1 if start else 0) : (-1 if end else None)]
    mirrored = [s.transformed(FLIP).reversed() for s in reversed(inner)]
    loop: list[Segment] = [*inner]
    if end is not None:
        loop.append(end.reversed())
    loop.extend(mirrored)
    if start is not None:
        loop.append(start)
    return loop


def across_axis(segment: Segment, tolerance_mm: float) -> Segment | None:
    """One segment from the mirror image of ``segment``'s end over its start to its end.

    ``segment`` starts on the axis; None where the two would not be one.
    """
    (sx, _), (ex, ey) = segment.start, segment.end
    if abs(ey) < 1e-6:
        return None
    if isinstance(segment, Line):
        return Line((ex, -ey), (ex, ey)) if abs(ex - sx) <= tolerance_mm else None
    if isinstance(segment, Arc):
        if abs(segment.center[1]) > 0.1 * segment.radius_mm:
            return None
        whole = Arc.through((ex, -ey), (sx, 0.0), (ex, ey))
        middle = np.array(segment.point_at(0.5))
        gap = abs(math.dist((float(middle[0]), float(middle[1])), whole.center) - whole.radius_mm)
        return whole if gap <= 0.7 * tolerance_mm else None
    return None


def _turned_loop(ring: SampledRing, copies: list[Matrix], tolerance_mm: float) -> Loop:
    """Loop about the origin: one sector from a corner to its copy, and its turned copies."""
    order = len(copies)
    start = float(ring.travel[ring.corners[0]]) if len(ring.corners) else 0.0
    first = ring.at(np.array([start]))[0]
    x, y = ring.points.T
    turn = float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    step = copies[1] if turn > 0.0 else np.linalg.inv(copies[1])
    target = transform_points(step, first[None])[0]
    length = (ring.nearest_travel(target) - start) % ring.length
    ways = np.concatenate(
        (np.arange(0.0, length - 0.3 * SPACING_MM, SPACING_MM), _corner_ways(ring, start, length))
    )
    points = ring.at(start + np.unique(np.round(ways, 9)))
    points = np.vstack((points, target))
    direction = None
    if not len(ring.corners):
        before = transform_points(np.linalg.inv(step), points[-3:-2])[0]
        direction = points[2] - before
        direction = direction / np.hypot(*direction)
    chain = fit_chain(
        points,
        tolerance_mm,
        start_direction=direction,
        end_direction=None if direction is None else step[:2, :2] @ direction,
    )
    segments: list[Segment] = []
    matrix = np.eye(3)
    for _ in range(order):
        segments.extend(s.transformed(matrix) for s in chain)
        matrix = step @ matrix
    return Loop(tuple(segments))


def _corner_ways(ring: SampledRing, start: float, length: float) -> FloatArray:
    inside = np.mod(ring.travel[ring.corners] - start, ring.length)
    return inside[(inside > 1e-6) & (inside < length - 1e-6)]
