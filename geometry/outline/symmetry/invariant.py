"""A loop that a symmetry group takes onto itself: its fundamental wedge is fitted and copied."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...arrays import FloatArray, Points, runs_of
from ...errors import OutlineError, SymmetryError
from ..curves import Arc, Line, Loop, Segment, transform_points
from ..fit import fit_chain, fit_circle, fit_ring
from .average import SampledRing
from .groups import FLIP, SymmetryGroup

__all__ = ["SPACING_MM", "invariant_loop"]

BEHIND = np.diag([-1.0, 1.0, 1.0])
"""Mirror image in the y axis, which takes every group's elements to each other."""
SPACING_MM = 0.25
"""Distance of the points that loops are compared and fitted by: well below the finest detail that
a knife leaves in a mock-up, so that nothing is lost between them."""
STUB = 0.2
"""Fraction of the spacing; an end point nearer than this to the next hides the true direction."""
SQUARE_SLOPE = 0.3
"""Largest slope off square at which an outline is taken to pass a mirror axis smoothly: 17°,
between a hand's error and the flattest corner worth drawing."""
ENDS = 6
"""Points at an end whose chord tells how the outline passes the axis."""
OFF_AXIS = 0.1
"""Fraction of its radius that an arc's centre may lie off the axis it is made symmetric to."""
JOINED = 0.7
"""Fraction of the tolerance that an arc made symmetric may move by; the fit used the rest."""
SPREADS, OF_RADIUS = 3.0, 0.04
"""How far a circle may stray: three standard deviations between the copies, and a fraction of its
radius at most, so that an oval does not become round."""


@dataclass(frozen=True, slots=True)
class _WedgeRun:
    """Points (N, 2) mm from one side of a wedge to the other, and unit directions held there."""

    points: Points
    start: FloatArray | None
    end: FloatArray | None


def invariant_loop(
    ring: SampledRing, group: SymmetryGroup, tolerance_mm: float, spread_mm: float
) -> Loop:
    """Loop that every element of a group takes onto itself, fitted to a ring that nearly is so.

    Parameters
    ----------
    ring
        In mm, the group's centre at the origin.
    group
        Without any symmetry the whole ring is fitted.
    tolerance_mm
        How far the loop may lie from the ring.
    spread_mm
        How far the copies that the ring is the average of lie apart, rms; a circle may stray as
        much, as the hand that cut them was no surer of that.

    Raises
    ------
    SymmetryError
        If a mirror axis does not cross the ring.
    """
    if group.is_trivial:
        return Loop(fit_ring(ring.points, tolerance_mm))
    circle = _circle(ring, group, tolerance_mm, spread_mm)
    if circle is not None:
        return circle
    if ring.is_clockwise:
        # Seen from behind it runs the other way, and every group about the origin is the same.
        behind = SampledRing(transform_points(BEHIND, ring.points), ring.corners)
        return invariant_loop(behind, group, tolerance_mm, spread_mm).transformed(BEHIND)
    run = _between_axes(ring, group) if group.mirrors else _between_copies(ring, group)
    sector: Sequence[Segment] = fit_chain(
        run.points,
        tolerance_mm,
        start_direction=run.start,
        end_direction=run.end,
        mirrored=group.mirrors,
    )
    if group.mirrors:
        sector = _with_image(sector, group, tolerance_mm)
    turned = (s.transformed(turn) for turn in group.turns[1:] for s in sector)
    return Loop((*sector, *turned))


def _circle(
    ring: SampledRing, group: SymmetryGroup, tolerance_mm: float, spread_mm: float
) -> Loop | None:
    """Whole circle about a fixed place of the group, None where the ring is no such circle."""
    try:
        circle = fit_circle(ring.points)
    except OutlineError:
        return None
    center = group.fixed_place(np.array(circle.center))
    gaps = np.abs(np.hypot(*(ring.points - center).T) - circle.radius_mm)
    allowed = max(tolerance_mm, min(SPREADS * spread_mm, OF_RADIUS * circle.radius_mm))
    return Loop.circle(center, circle.radius_mm) if gaps.max() <= allowed else None


def _between_axes(ring: SampledRing, group: SymmetryGroup) -> _WedgeRun:
    """Run of a counter-clockwise ring from the x axis to the next mirror axis, its ends on them."""
    turn = group.wedge_turn
    unturn = np.linalg.inv(turn)

    def inside(points: Points) -> Points:
        """(N, 2) how far inside the wedge points lie from either side, mm."""
        return np.column_stack((points[:, 1], -transform_points(unturn, points)[:, 1]))

    within = (inside(ring.points) > 0.0).all(axis=1)
    if within.all() or not within.any():
        raise _not_crossed()
    away = int(np.argmin(within))
    points = np.roll(ring.points, -away, axis=0)
    firsts, stops = runs_of(np.roll(within, -away))
    k = int(np.argmax(stops - firsts))
    run = np.vstack((points, points[:1]))[firsts[k] - 1 : stops[k] + 1]
    (before, _), (_, after) = inside(run[[0, -1]])
    if before > 0.0 or after > 0.0:
        raise _not_crossed()
    run[0] = _on_axis(run[0], run[1])
    ends = transform_points(unturn, run[-2:])
    run[-1] = transform_points(turn, _on_axis(ends[1], ends[0])[None])[0]
    keep = np.ones(len(run), dtype=bool)
    keep[1] = np.hypot(*(run[1] - run[0])) > STUB * SPACING_MM
    keep[-2] = np.hypot(*(run[-2] - run[-1])) > STUB * SPACING_MM
    run = run[keep]
    end = _square_direction(transform_points(unturn, run[-ENDS:]))
    return _WedgeRun(
        run, _square_direction(run[:ENDS]), None if end is None else turn[:2, :2] @ end
    )


def _not_crossed() -> SymmetryError:
    return SymmetryError(
        "A mirror axis does not cross the outline. Move the axis or centre so that it passes "
        "the shape, or leave the mirror out."
    )


def _on_axis(outer: FloatArray, inner: FloatArray) -> FloatArray:
    """(2,) where the x axis is crossed between two places."""
    fraction = inner[1] / (inner[1] - outer[1])
    return np.array([inner[0] + fraction * (outer[0] - inner[0]), 0.0])


def _square_direction(run: Points) -> FloatArray | None:
    """(2,) unit direction square to the x axis where a run passes it smoothly, else None."""
    along = run[-1] - run[0]
    return None if abs(along[0]) > SQUARE_SLOPE * abs(along[1]) else np.array([0.0, 1.0])


def _with_image(
    chain: Sequence[Segment], group: SymmetryGroup, tolerance_mm: float
) -> list[Segment]:
    """Chain of one wedge with its mirror image; what passes an axis squarely is one segment."""
    turn = group.wedge_turn
    start = _across_axis(chain[0], tolerance_mm)
    end = _across_axis(chain[-1].transformed(np.linalg.inv(turn)).reversed(), tolerance_mm)
    if len(chain) == 1 and start is not None:
        end = None
    inner = chain[0 if start is None else 1 : len(chain) if end is None else -1]
    image = [s.transformed(group.second_mirror).reversed() for s in reversed(inner)]
    return [
        *([] if start is None else [start]),
        *inner,
        *([] if end is None else [end.reversed().transformed(turn)]),
        *image,
    ]


def _across_axis(segment: Segment, tolerance_mm: float) -> Segment | None:
    """One segment from the mirror image of ``segment``'s end over its start to its end.

    ``segment`` starts on the x axis; None where the two would not be one.
    """
    (sx, _), (ex, ey) = segment.start, segment.end
    if abs(ey) < 1e-6:
        return None
    if isinstance(segment, Line):
        return Line((ex, -ey), (ex, ey)) if abs(ex - sx) <= tolerance_mm else None
    if isinstance(segment, Arc):
        if abs(segment.center[1]) > OFF_AXIS * segment.radius_mm:
            return None
        whole = Arc.through(segment.transformed(FLIP).end, (sx, 0.0), segment.end)
        gap = abs(math.dist(segment.point_at(0.5), whole.center) - whole.radius_mm)
        return whole if gap <= JOINED * tolerance_mm else None
    return None


def _between_copies(ring: SampledRing, group: SymmetryGroup) -> _WedgeRun:
    """Run of a counter-clockwise ring from a corner, or from anywhere, to its copy turned once."""
    start = float(ring.travel[ring.corners[0]]) if len(ring.corners) else 0.0
    step = group.wedge_turn
    target = transform_points(step, ring.at(np.array([start])))
    length = (ring.nearest_travel(target[0]) - start) % ring.length
    corners = np.mod(ring.travel[ring.corners] - start, ring.length)
    corners = corners[(corners > 1e-6) & (corners < length - 1e-6)]
    steps = np.arange(0.0, length - 0.3 * SPACING_MM, SPACING_MM)
    travel = np.unique(np.round(np.concatenate((steps, corners)), 9))
    points = np.vstack((ring.at(start + travel), target))
    if len(ring.corners):
        return _WedgeRun(points, None, None)
    before = transform_points(np.linalg.inv(step), points[-3:-2])[0]
    direction = (points[2] - before) / math.dist(points[2], before)
    return _WedgeRun(points, direction, step[:2, :2] @ direction)
