"""Lines and arcs that follow a polygon's rim, as long as each stays within a tolerance.

The rim of a section is lines already, and where it was widened its corners are round. So from
corner to corner the longest line or arc is taken that stays near enough to all it replaces; nothing
is weighed against anything else, which is what makes it quick.
"""

import math

import numpy as np
from shapely import Polygon

from ...arrays import FloatArray, Points
from ...outline.curves import Arc, Line, Loop, Profile, Segment
from ...tolerance import REGION_FLAT_MM

__all__ = ["followed"]

BULGIEST = 1.2
"""Largest tangent of a quarter of an arc's turn, 200°: ends of rounder arcs lie too near each other
to tell the circle."""
FLATTEST = 1e-9
CLOSER = (1.0, 0.25, 0.0625)
"""Shares of the tolerance that are tried in turn, until nothing crosses."""


def followed(polygon: Polygon, tolerance_mm: float) -> Profile:
    """Return the outline of lines and arcs, each within ``tolerance_mm`` of the polygon's rim."""
    rings = [np.asarray(r.coords)[:-1, :2] for r in (polygon.exterior, *polygon.interiors)]
    for closer in CLOSER:
        loops = [_loop(ring, closer * tolerance_mm) for ring in rings]
        profile = Profile(loops[0], tuple(loops[1:]))
        # Where the rim comes nearer to itself than the tolerance, segments may cross.
        if profile.polygon(REGION_FLAT_MM).is_valid:
            return profile
    outer, *holes = (Loop.through([(float(x), float(y)) for x, y in ring]) for ring in rings)
    return Profile(outer, tuple(holes))


def _loop(ring: Points, tolerance: float) -> Loop:
    around = _circle(ring, tolerance)
    if around is not None:
        return Loop.circle(*around)
    # From the end of the longest edge: a corner there is one anyway.
    edges = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    ring = np.roll(ring, -(int(np.argmax(edges)) + 1), axis=0)
    closed = np.vstack((ring, ring[:1]))
    segments: list[Segment] = []
    start, last = 0, len(closed) - 1
    while start < last:
        end, bulge = _longest(closed, start, last, tolerance)
        (x0, y0), (x1, y1) = closed[start].tolist(), closed[end].tolist()
        curved = abs(bulge) > FLATTEST
        segments.append(
            Arc.from_bulge((x0, y0), (x1, y1), bulge) if curved else Line((x0, y0), (x1, y1))
        )
        start = end
    return Loop(tuple(segments))


def _longest(ring: Points, start: int, last: int, tolerance: float) -> tuple[int, float]:
    """The farthest corner that one segment from ``start`` can reach, and the segment's bulge."""
    good, bulge, step = start + 1, 0.0, 1
    bad = last + 1
    while good < last:
        tried = min(good + step, bad - 1, last)
        if tried <= good:
            break
        found = _bulge(ring[start : tried + 1], tolerance)
        if found is None:
            bad, step = tried, max(step // 2, 1)
            if tried == good + 1:
                break
        else:
            good, bulge = tried, found
            step = 2 * step if bad > last else max(step // 2, 1)
    return good, bulge


def _bulge(chain: Points, tolerance: float) -> float | None:
    """Bulge of the line (0) or arc between the ends of a chain that is near all of it, or None.

    With the chord along x from 0 to c, a circle through both ends is κ (x² - c x + y²) = y, and a
    place is (κ (x² - c x + y²) - y) / √(1 + κ² c²) away from it.
    """
    chord = chain[-1] - chain[0]
    length = math.hypot(*chord)
    if length < tolerance:
        return None
    looked = np.vstack((chain[1:-1], *_along(chain))) - chain[0]
    x = looked @ chord / length
    y = (chord[0] * looked[:, 1] - chord[1] * looked[:, 0]) / length
    if np.abs(y).max() <= tolerance and x.min() >= 0.0 and x.max() <= length:
        return 0.0
    power = x * x - length * x + y * y
    curvature = float(power @ y / max(float(power @ power), 1e-300))
    for _ in range(2):
        # The interval of curvatures that every place allows; its middle is taken.
        allowed = tolerance * math.hypot(1.0, curvature * length)
        told = np.abs(power) > 1e-12
        ends = np.stack(((y - allowed)[told], (y + allowed)[told])) / power[told]
        low, high = float(ends.min(axis=0).max()), float(ends.max(axis=0).min())
        if low > high:
            return None
        curvature = 0.5 * (low + high)
    off = np.abs(curvature * power - y) / math.hypot(1.0, curvature * length)
    if off.max() > tolerance:
        return None
    # Near the circle is not enough: what bends back lies near what is no part of the arc.
    side = math.copysign(1.0, y[int(np.argmax(np.abs(y)))])
    behind = float((side * y).min()) < -tolerance
    round_half = float(np.abs(y).max()) > 0.5 * length
    aside = x.min() < -tolerance or x.max() > length + tolerance
    if behind or (aside and not round_half):
        return None
    return _quarter(curvature, length, y)


def _along(chain: Points) -> list[Points]:
    """Places at the quarters of every edge: how far an arc is off is a parabola between them."""
    edges = chain[1:] - chain[:-1]
    return [chain[:-1] + part * edges for part in (0.25, 0.5, 0.75)]


def _quarter(curvature: float, length: float, y: FloatArray) -> float | None:
    """Tangent of a quarter of the turn, above 0 where the arc bows to the chord's right."""
    # sin(turn / 2) = c / 2r with r² = (c/2)² + (1/2κ)²; the side is the chain's.
    half_turn = math.atan(abs(curvature) * length)
    reach = y[int(np.argmax(np.abs(y)))]
    beyond = abs(reach) > 0.5 * length
    bulge = math.tan(0.5 * (math.pi - half_turn if beyond else half_turn))
    return None if bulge > BULGIEST else -math.copysign(bulge, reach)


def _circle(ring: Points, tolerance: float) -> tuple[tuple[float, float], float] | None:
    """Centre and radius of the circle that all of a ring lies on, if there is one."""
    looked = np.vstack((ring, 0.5 * (ring + np.roll(ring, -1, axis=0))))
    middle = looked.mean(axis=0)
    own = looked - middle
    rows = np.column_stack((2.0 * own, np.ones(len(own))))
    (cx, cy, rest), *_ = np.linalg.lstsq(rows, (own**2).sum(axis=1), rcond=None)
    radius = math.sqrt(max(float(rest + cx * cx + cy * cy), 0.0))
    away = np.hypot(own[:, 0] - cx, own[:, 1] - cy)
    low, high = float(away.min()), float(away.max())
    if high - radius > tolerance or radius - low > tolerance or radius < 2.0 * tolerance:
        return None
    return (float(middle[0] + cx), float(middle[1] + cy)), 0.5 * (low + high)
