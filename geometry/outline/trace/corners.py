"""Corners of a traced ring: which short pieces are a ragged corner, and where two sides meet."""

import itertools
import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray, Points, runs_of, turn_between
from ..curves import Arc, Line, Segment
from ..fit import Support, crossing, fit_circle, fit_line
from .evening import curve_between

__all__ = ["CORNER_RAD", "crossed", "with_corners", "with_hidden_corners", "without_scraps"]

SCRAP_PX = 26.0
"""Shorter pieces at a corner are suspect."""
CROSSING_PX = 39.0
"""How far off the ends of two sides their corner may lie where no long run is missing."""
CORNER_RUN_PX = 14
"""How much of each side is continued into a corner."""
BEND_RUN_PX = 28
"""The same of a bent side: its bend wants a longer run."""
BENT_PX = 0.25
"""How far the middle of a run lies off its chord when it counts as bent."""

CORNER_RAD = 0.35
"""A sharper turn is a corner."""
SMOOTH_RAD = 0.05
"""Segments that meet at no sharper an angle go on as one another."""
HIDDEN_RUN, HIDING = 10, 3
"""Points to either side by which an unknown run is drawn, and those between, which are not sure."""
LEAST_RUN = 4
"""They are fewer where they come to the next unknown run, but no fewer than these."""
LONG_RUNS_PX, SHORT_RUNS_PX = (30.0, 20.0, 14.0), (10.0, 7.0, 5.0)
"""They are rather more, if one curve draws them, or fewer on a line between corners."""
EVEN_PX = 0.15
"""Root of the mean square by which a curve leaves the points that it draws."""

IsNear = Callable[[FloatArray, Points], bool]
"""Whether a corner at a place, with (2, 2) directions off its sides, is one of the part."""
IsSharp = Callable[[FloatArray, Points], bool]
"""Whether a corner at a place, to and from which travel runs in (2, 2) directions, shows as one."""


def without_scraps(
    segments: tuple[Segment, ...], is_near: IsNear, *, side: float
) -> tuple[Segment, ...]:
    """Segments without the short ones around a corner that two long ones would make.

    At a corner cuts see both sides and the foot of the wall, so the first ring is ragged there.
    The long ones are continued to the corner, arcs along their circles.
    """
    count = len(segments)
    long = [k for k in range(count) if segments[k].length_mm >= SCRAP_PX]
    if len(long) < 2:
        return segments
    kept = {k: segments[k] for k in range(count)}
    for k, following in zip(long, [*long[1:], long[0] + count], strict=True):
        scraps = [j % count for j in range(k + 1, following)]
        if not scraps or _is_bend([segments[j % count] for j in range(k, following + 1)]):
            continue
        one, two = kept[k], kept[following % count]
        corner = _meeting(one, two, is_near, side)
        if corner is not None:
            for scrap in scraps:
                del kept[scrap]
            kept[k], kept[following % count] = _continued_to(one, two, corner)
    return tuple(kept[k] for k in sorted(kept))


def _is_bend(run: list[Segment]) -> bool:
    """Whether three segments go on smoothly over an arc too long for a corner's blur."""
    if len(run) != 3 or run[1].length_mm < 0.5 * SCRAP_PX:
        return False
    joints = [(one.tangent_at(1.0), two.tangent_at(0.0)) for one, two in itertools.pairwise(run)]
    return all(ax * bx + ay * by > math.cos(SMOOTH_RAD) for (ax, ay), (bx, by) in joints)


def _meeting(one: Segment, two: Segment, is_near: IsNear, side: float) -> FloatArray | None:
    """Where two segments, continued, make a corner close to both their ends."""
    lines = [
        Support(np.array(point), np.array(direction), 0.0, 0.0)
        for point, direction in (
            (one.end, one.tangent_at(1.0)),
            (two.start, two.tangent_at(0.0)),
        )
    ]
    place = crossing(lines[0], lines[1], np.array(one.end))
    if place is None or any(np.hypot(*(place - line.point)) > SCRAP_PX for line in lines):
        return None
    off = side * np.array([(line.direction[1], -line.direction[0]) for line in lines])
    return place if is_near(place, off) else None


def _continued_to(one: Segment, two: Segment, corner: FloatArray) -> tuple[Segment, Segment]:
    """Both segments run on to where they cross near a corner; as they are where they do not."""
    supports = [_support(one), _support(two)]
    if supports[0] is None or supports[1] is None:
        return one, two
    place = crossing(supports[0], supports[1], corner)
    if place is None or np.hypot(*(place - corner)) > 0.5 * SCRAP_PX:
        return one, two
    end = (float(place[0]), float(place[1]))
    first = _between(one, one.start, end)
    second = _between(two, end, two.end)
    return first, second


def _support(segment: Segment) -> Support | None:
    if isinstance(segment, Line):
        return Support(np.array(segment.start), np.array(segment.tangent_at(0.0)), 0.0, 0.0)
    if isinstance(segment, Arc) and not segment.is_circle:
        turn = float(np.sign(segment.sweep_rad))
        return Support(np.array(segment.center), np.zeros(2), segment.radius_mm, turn)
    return None


def _between(segment: Segment, start: tuple[float, float], end: tuple[float, float]) -> Segment:
    """The segment's line or circle from one place on it to another."""
    if isinstance(segment, Arc):
        support = _support(segment)
        assert support is not None
        return Arc.from_bulge(start, end, support.bulge(np.array(start), np.array(end)))
    return Line(start, end)


def with_corners(runs: list[Points], is_sharp: IsSharp | None = None) -> Points:
    """Runs of (N, 2) points joined by the corners where their ends, continued, cross.

    Runs far apart are joined along the bend where that is all there is between them, and those
    whose corner is not sharp by a curve.
    """
    joined = []
    for k, run in enumerate(runs):
        joined.append(run)
        following = runs[(k + 1) % len(runs)]
        count = round(float(np.hypot(*(following[0] - run[-1]))))
        if count > HIDDEN_RUN and min(len(run), len(following)) >= HIDDEN_RUN:
            bent = _bent_on(run[-HIDDEN_RUN:], following[:HIDDEN_RUN], count)
            if bent is not None:
                joined.append(bent)
                continue
        corner = crossed(run[::-1], following)
        if corner is None:
            continue
        if is_sharp is not None and min(len(run), len(following)) > 1:
            headings = _headings(run, following)
            if not is_sharp(corner, headings):
                joined.append(curve_between(run[-1], following[0], headings, max(count - 1, 1)))
                continue
        joined.append(corner[None])
    return np.concatenate(joined)


def with_hidden_corners(
    ring: Points,
    known: NDArray[np.bool_],
    is_near: IsNear,
    *,
    side: float,
    may_pass: Callable[[Points], bool] = lambda path: True,
) -> Points:
    """A ring of (N, 2) points whose unknown runs are drawn on from their neighbours.

    They are drawn to the corner that these make, or along their bend where that is all there is;
    where ``may_pass`` refuses the (N, 2) points of either they stay.
    """
    # What is beside an unknown run sees some of what hides it.
    known = np.all([np.roll(known, k) for k in range(-HIDING, HIDING + 1)], axis=0)
    if known.all() or known.sum() < 2 * HIDDEN_RUN:
        return ring
    start = int(np.argmax(known & ~np.roll(known, -1))) + 1
    ring, known = np.roll(ring, -start, axis=0).copy(), np.roll(known, -start)
    spacing = float(np.median(np.hypot(*np.diff(ring, axis=0).T)))
    ahead = np.arange(max(HIDDEN_RUN, round(LONG_RUNS_PX[0] / spacing)))
    for first, stop in zip(*runs_of(~known), strict=True):
        sides = []
        for places in (first - 1 - ahead, (stop + ahead) % len(ring)):
            seen = np.argmin(np.append(known[places], False))
            sides.append(_side(ring[places[: max(seen, LEAST_RUN)]], spacing))
        before, after = sides[0][::-1], sides[1]
        drawn = _drawn_on(before, after, stop - first, is_near, side, may_pass)
        if drawn is not None:
            ring[first:stop] = drawn
    return ring


def _side(run: Points, spacing: float) -> Points:
    """The part of a run from its start on that is one line or one arc."""
    for length in (*LONG_RUNS_PX, *SHORT_RUNS_PX):
        points = run[: max(round(length / spacing), LEAST_RUN)]
        if fit_line(points).rms_mm < EVEN_PX:
            return points
        if length in LONG_RUNS_PX and fit_circle(points).rms_mm < EVEN_PX:
            return points
    return run[:HIDDEN_RUN]


def _drawn_on(
    before: Points,
    after: Points,
    count: int,
    is_near: IsNear,
    side: float,
    may_pass: Callable[[Points], bool],
) -> Points | None:
    """(count, 2) points from one run to another, along the bend or over the corner they make."""
    bent = _bent_on(before, after, count)
    if bent is not None and may_pass(bent):
        return bent
    start, end = before[-1], after[0]
    share = (np.arange(count) + 1.0) / (count + 1.0)
    corner = crossed(before[::-1], after, max(CROSSING_PX, float(np.hypot(*(end - start)))))
    off = side * _headings(before, after)[:, ::-1] * (1.0, -1.0)
    if corner is None or not is_near(corner, off):
        return None
    legs = [float(np.hypot(*(corner - place))) for place in (start, end)]
    knots = np.array([start, corner, end])
    at = [0.0, legs[0] / sum(legs), 1.0]
    sides = np.column_stack([np.interp(share, at, knots[:, k]) for k in (0, 1)])
    return sides if may_pass(sides) else None


def _bent_on(before: Points, after: Points, count: int) -> Points | None:
    """(count, 2) points from one run to another where these go on smoothly or round one circle."""
    start, end = before[-1], after[0]
    share = (np.arange(count) + 1.0) / (count + 1.0)
    lines = [fit_line(run) for run in (before, after)]
    headings = _headings(before, after)
    if abs(turn_between(*headings)) < CORNER_RAD:
        return curve_between(start, end, headings, count)
    circle = fit_circle(np.vstack((before, after)))
    if circle.rms_mm < math.hypot(*(line.rms_mm for line in lines)):
        (x0, y0), (x1, y1) = start - circle.center, end - circle.center
        way = -math.copysign(1.0, turn_between(headings[0], (x0, y0)))
        sweep = way * (way * (math.atan2(y1, x1) - math.atan2(y0, x0)) % (2.0 * math.pi))
        angles = math.atan2(y0, x0) + share * sweep
        radii = np.interp(share, [0.0, 1.0], [math.hypot(x0, y0), math.hypot(x1, y1)])
        return circle.center + radii[:, None] * np.column_stack((np.cos(angles), np.sin(angles)))
    return None


def _headings(before: Points, after: Points) -> Points:
    """(2, 2) directions of travel where one run ends and the next begins."""
    near = before[-HIDDEN_RUN:], after[:HIDDEN_RUN]
    return np.array([fit_line(run).direction for run in near])


def crossed(back: Points, ahead: Points, reach: float = CROSSING_PX) -> FloatArray | None:
    """Crossing of two runs continued past their first points, no farther than ``reach`` px."""
    if len(back) < 2 or len(ahead) < 2:
        return None
    middle = (back[0] + ahead[0]) / 2.0
    place: FloatArray | None = middle
    # A bent run is continued by its tangent where it comes nearest to the corner: look twice.
    for _ in range(3):
        assert place is not None
        place = crossing(_onward(back, place), _onward(ahead, place), middle)
        if place is None or np.hypot(*(place - middle)) > reach:
            return None
    return place


def _onward(run: Points, place: FloatArray) -> Support:
    """The line that continues a run's start where it passes a place."""
    near = run[: max(3, min(CORNER_RUN_PX, len(run) // 2))]
    line = fit_line(near)
    along = np.array(line.direction)
    far = run[:BEND_RUN_PX]
    if len(far) > CORNER_RUN_PX:
        line = fit_line(far)
        along, across = np.array(line.direction), np.array((-line.direction[1], line.direction[0]))
        u, v = (far - line.point) @ along, (far - line.point) @ across
        bend, slope, level = np.polyfit(u, v, 2)
        if abs(bend) * (np.ptp(u) / 2.0) ** 2 > BENT_PX:
            at = float((place - line.point) @ along)
            point = line.point + at * along + (bend * at * at + slope * at + level) * across
            heading = along + (2.0 * bend * at + slope) * across
            return Support(point, heading / np.hypot(*heading), 0.0, 0.0)
        line = fit_line(near)
        along = np.array(line.direction)
    return Support(np.array(line.point), along, 0.0, 0.0)
