"""Offset an outline that has cubics, edge by edge; what `shift` does for lines and arcs.

The offset of a cubic is no cubic. It is drawn as a few, each with the true places and directions
at its ends, and halved until it stays within a fifth of a micrometre of the true offset.
"""

import math

import numpy as np

from ...arrays import Point, Points
from ...tolerance import REGION_FLAT_MM, SAME_PLACE_MM
from .crossings import crossings
from .pieces import beside, piece_between, shifted
from .profile import Loop, Profile
from .segments import Cubic, Line, Segment
from .shift_corners import FOLDED, LEAST_MM, MITRE_LIMIT

__all__ = ["moved_cubic", "shift_curved"]

TRUE_MM = 2e-4
"""A fifth of a micrometre: fifty times finer than anything that is told."""
MOST_PIECES = 64
"""Halved so often it goes no nearer: the curve bends more tightly than the distance."""
ROUNDING_MM = 1e-9
"""Ends nearer than this are where they should be, but for rounding."""


def shift_curved(profile: Profile, distance_mm: float) -> Profile | None:
    """Return the profile grown by a distance, or None if edges vanish or run into each other."""
    loops = [_shifted(loop.segments, distance_mm) for loop in profile.loops]
    if any(loop is None for loop in loops):
        return None
    outer, *holes = (loop for loop in loops if loop is not None)
    result = Profile.oriented(outer, tuple(holes))
    return result if result.polygon(REGION_FLAT_MM).is_valid else None


def moved_cubic(cubic: Cubic, distance_mm: float) -> list[Segment] | None:
    """Return the curve moved to its right, or None where it bends more tightly than that."""
    count = 1
    while count <= MOST_PIECES:
        pieces = _hermite(cubic, distance_mm, np.linspace(0.0, 1.0, count + 1))
        if pieces is None:
            return None
        if _off(cubic, pieces, distance_mm) <= TRUE_MM:
            return list(pieces)
        count *= 2
    return None


def _frame(cubic: Cubic, t: Points, d: float) -> tuple[Points, Points, Points]:
    """(N, 2) moved places, (N, 2) their speed and (N,) its fraction of the curve's own speed."""
    p0, p1, p2, p3 = cubic.control_points
    s = 1.0 - t[:, None]
    t1 = t[:, None]
    speed = 3 * s * s * (p1 - p0) + 6 * s * t1 * (p2 - p1) + 3 * t1 * t1 * (p3 - p2)
    bend = 6 * s * (p2 - 2 * p1 + p0) + 6 * t1 * (p3 - 2 * p2 + p1)
    length = np.hypot(*speed.T)
    safe = np.maximum(length, 1e-9)
    unit = speed / safe[:, None]
    curvature = (speed[:, 0] * bend[:, 1] - speed[:, 1] * bend[:, 0]) / safe**3
    fraction = np.where(length > 1e-9, 1.0 + curvature * d, 0.0)
    moved = cubic.points_at(t) + d * np.column_stack((unit[:, 1], -unit[:, 0]))
    return moved, speed * fraction[:, None], fraction


def _hermite(cubic: Cubic, d: float, knots: Points) -> list[Cubic] | None:
    places, speed, fraction = _frame(cubic, knots, d)
    if fraction.min() <= 1e-3:
        return None
    # A handle is a third of the speed over its fraction of the parameter.
    handle = speed / (3.0 * (len(knots) - 1))
    return [
        Cubic(_point(a), _point(a + u), _point(b - v), _point(b))
        for a, b, u, v in zip(places, places[1:], handle, handle[1:], strict=False)
    ]


def _off(cubic: Cubic, pieces: list[Cubic], d: float) -> float:
    """How far pieces are from the true offset, seen square to it between their ends."""
    inner = np.array([0.2, 0.4, 0.5, 0.6, 0.8])
    t = (np.arange(len(pieces))[:, None] + inner).ravel() / len(pieces)
    true, speed, fraction = _frame(cubic, t, d)
    if fraction.min() <= 1e-3:
        return math.inf
    drawn = np.vstack([piece.points_at(inner) for piece in pieces])
    away = drawn - true
    length = np.maximum(np.hypot(*speed.T), 1e-12)
    return float((np.abs(away[:, 0] * speed[:, 1] - away[:, 1] * speed[:, 0]) / length).max())


def _point(xy: Points) -> Point:
    return (float(xy[0]), float(xy[1]))


def _moved(segment: Segment, d: float) -> list[Segment] | None:
    if isinstance(segment, Cubic):
        return moved_cubic(segment, d)
    if segment.length_mm <= 0.0:
        return None
    moved = shifted(segment, d)
    return None if moved is None else [moved]


def _shifted(segments: tuple[Segment, ...], d: float) -> Loop | None:
    moved = [_moved(segment, d) for segment in segments]
    edges = [pieces for pieces in moved if pieces is not None]
    if len(edges) < len(segments):
        return None
    fillers: list[list[Segment]] = []
    for i, here in enumerate(segments):
        filler = _join(segments[i - 1], here, edges[i - 1], edges[i], d)
        if filler is None:
            return None
        fillers.append(filler)
    chain = [piece for i in range(len(edges)) for piece in (*fillers[i], *edges[i])]
    for before, after in zip(chain, chain[1:] + chain[:1], strict=True):
        if math.dist(before.end, after.start) > LEAST_MM:
            return None
    return Loop(chain)


def _join(
    before: Segment, after: Segment, left: list[Segment], right: list[Segment], d: float
) -> list[Segment] | None:
    """Trim the moved edges where they meet; return what is put between, None if they do not."""
    (ux, uy), (vx, vy) = before.tangent_at(1.0), after.tangent_at(0.0)
    dot, cross = ux * vx + uy * vy, ux * vy - uy * vx
    if 1.0 + dot < FOLDED:
        return None
    fraction = d / (1.0 + dot)
    x, y = after.start
    mitre = (x + fraction * (uy + vy), y - fraction * (ux + vx))
    reach = abs(fraction * cross)
    if reach < SAME_PLACE_MM:
        # A line or an arc keeps its own end and the cubic comes to it.
        if not isinstance(before, Cubic) and isinstance(after, Cubic):
            mitre = beside(before, 1.0, d)
        elif isinstance(before, Cubic) and not isinstance(after, Cubic):
            mitre = beside(after, 0.0, d)
        elif not isinstance(before, Cubic) and reach > LEAST_MM:
            return _crossed(left, right, mitre, reach)
        return [] if _trim(left, right, mitre) else None
    if cross * d < 0.0:
        return _crossed(left, right, mitre, reach)
    return _run_out(before, after, left, right, (mitre, mitre), d, dot)


def _crossed(
    left: list[Segment], right: list[Segment], near: Point, reach: float
) -> list[Segment] | None:
    found = crossings(left[-1], right[0], near)
    if not found:
        return None
    place = min(found, key=lambda p: math.dist(p, near))
    if math.dist(place, near) > reach + REGION_FLAT_MM or not _trim(left, right, place):
        return None
    return []


def _run_out(
    before: Segment,
    after: Segment,
    left: list[Segment],
    right: list[Segment],
    tips: tuple[Point, Point],
    d: float,
    dot: float,
) -> list[Segment] | None:
    """Run out of a sharp corner along the tangents, cut off square if they meet too far away."""
    end, start = beside(before, 1.0, d), beside(after, 0.0, d)
    if 1.0 + dot < 2.0 / MITRE_LIMIT**2:
        across, along = math.sqrt((1.0 + dot) / 2.0), math.sqrt((1.0 - dot) / 2.0)
        run = abs(d) * (MITRE_LIMIT - across) / along
        (ux, uy), (vx, vy) = before.tangent_at(1.0), after.tangent_at(0.0)
        tips = (
            (end[0] + run * ux, end[1] + run * uy),
            (start[0] - run * vx, start[1] - run * vy),
        )
    filler: list[Segment] = []
    if isinstance(before, Line):
        left[-1] = Line(left[-1].start, tips[0])
    else:
        filler.append(Line(end, tips[0]))
    if tips[0] != tips[1]:
        filler.append(Line(tips[0], tips[1]))
    if isinstance(after, Line):
        right[0] = Line(tips[1], right[0].end)
    else:
        filler.append(Line(tips[1], start))
    return filler


def _trim(left: list[Segment], right: list[Segment], place: Point) -> bool:
    """End the one and start the other edge at a place; False if nothing of either would be left."""
    for edge, at, ends in ((left, -1, (None, place)), (right, 0, (place, None))):
        piece = edge[at]
        was = piece.end if ends[0] is None else piece.start
        if math.dist(was, place) < ROUNDING_MM and not isinstance(piece, Cubic):
            continue
        if math.dist(was, place) < 2.0 * SAME_PLACE_MM and isinstance(piece, Cubic):
            edge[at] = _pulled(piece, place, at_end=ends[0] is None)
            continue
        start, end = ends[0] or piece.start, ends[1] or piece.end
        run = np.array([piece.point_at(t) for t in (0.0, 0.25, 0.5, 0.75, 1.0)])
        trimmed = piece_between(piece, run, start, end)
        if type(trimmed) is not type(piece) or trimmed.length_mm < LEAST_MM:
            return False
        (ax, ay), (bx, by) = piece.tangent_at(0.5), trimmed.tangent_at(0.5)
        if ax * bx + ay * by <= 0.0:
            return False
        edge[at] = trimmed
    return True


def _pulled(piece: Cubic, place: Point, *, at_end: bool) -> Cubic:
    """Put one end of a curve, and its handle with it, on a place right beside."""
    if at_end:
        dx, dy = place[0] - piece.end[0], place[1] - piece.end[1]
        x, y = piece.control2
        return Cubic(piece.start, piece.control1, (x + dx, y + dy), place)
    dx, dy = place[0] - piece.start[0], place[1] - piece.start[1]
    x, y = piece.control1
    return Cubic(place, (x + dx, y + dy), piece.control2, piece.end)
