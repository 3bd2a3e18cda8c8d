"""One segment through a run of points: the line, the arc or the cubic, and how far it strays.

A run is (N, 2) points in order; the segment starts at the first and ends at the last exactly.
"""

import math

import numpy as np

from ..arrays import FloatArray, Point, Points
from .segments import Arc, Cubic, Line, Segment

__all__ = ["arc_through_run", "as_pair", "cubic_through_run", "distances", "line_through_run"]

LONGEST_RADIUS = 1e5
"""In chords of the run: a flatter arc is a line."""


def as_pair(point: FloatArray) -> Point:
    """(2,) array to a plain pair."""
    return (float(point[0]), float(point[1]))


def distances(segment: Segment, points: Points) -> FloatArray:
    """(N,) distance of each point to the segment, its ends included."""
    if isinstance(segment, Line):
        a, b = np.asarray(segment.start), np.asarray(segment.end)
        along = b - a
        share = (points - a) @ along / max(float(along @ along), 1e-300)
        rest = points - a - np.clip(share, 0.0, 1.0)[:, None] * along
        return np.hypot(rest[:, 0], rest[:, 1])
    if isinstance(segment, Arc):
        arm = points - np.asarray(segment.center)
        off = np.abs(np.hypot(arm[:, 0], arm[:, 1]) - segment.radius_mm)
        turn = np.arctan2(arm[:, 1], arm[:, 0]) - segment.start_rad
        turn = np.mod(turn * np.sign(segment.sweep_rad), 2.0 * math.pi)
        outside = turn > abs(segment.sweep_rad)
        if outside.any():
            ends = np.array([segment.start, segment.end])
            gaps = np.hypot(*(points[outside][:, None] - ends[None]).transpose(2, 0, 1))
            off[outside] = gaps.min(axis=1)
        return off
    curve = segment.points_at(np.linspace(0.0, 1.0, 65))
    nearest = np.full(len(points), np.inf)
    for first in range(0, len(points), 512):
        block = points[first : first + 512]
        a, along = curve[:-1], np.diff(curve, axis=0)
        squared = np.maximum(np.einsum("ij,ij->i", along, along), 1e-300)
        rest = block[:, None] - a[None]
        share = np.clip(np.einsum("ijk,jk->ij", rest, along) / squared, 0.0, 1.0)
        rest -= share[..., None] * along
        nearest[first : first + 512] = np.sqrt(np.einsum("ijk,ijk->ij", rest, rest).min(axis=1))
    return nearest


def line_through_run(run: Points) -> tuple[Line, float]:
    """Straight from the first to the last point, and the largest stray."""
    line = Line(as_pair(run[0]), as_pair(run[-1]))
    return line, float(distances(line, run).max())


def arc_through_run(run: Points) -> tuple[Arc, float] | None:
    """Arc from the first to the last point nearest the others, and the largest stray.

    In the chord's frame (u along, v across, half chord h) a circle through both ends obeys
    u² + v² - h² = 2 s v with the centre at v = s: linear in s.
    """
    chord = run[-1] - run[0]
    length = math.hypot(chord[0], chord[1])
    middle = run[len(run) // 2]
    if len(run) < 3 or length < 1e-9:
        return None
    along = chord / length
    normal = np.array([-along[1], along[0]])
    rest = run[1:-1] - (run[0] + run[-1]) / 2.0
    u, v = rest @ along, rest @ normal
    power = u * u + v * v - (length / 2.0) ** 2
    vv = float(v @ v)
    if vv < 1e-24 * length**2:
        return None
    s = float(power @ v) / (2.0 * vv)
    radius = math.hypot(s, length / 2.0)
    if radius > LONGEST_RADIUS * length:
        return None
    # The arc runs on the side of the chord where the points are.
    side = float((middle - run[0]) @ normal)
    sagitta = s + math.copysign(radius, side)
    if sagitta * side <= 0.0:
        return None
    bulge = -sagitta / (length / 2.0)
    arc = Arc.from_bulge(as_pair(run[0]), as_pair(run[-1]), bulge)
    # Points that go there and back also lie on a huge circle, the long way round.
    if arc.length_mm > 1.2 * float(_travel(run)[-1]):
        return None
    return arc, float(distances(arc, run).max())


def cubic_through_run(
    run: Points, start_direction: FloatArray | None, end_direction: FloatArray | None
) -> tuple[Cubic, float] | None:
    """Cubic nearest the run, its end directions held where given, and the largest stray.

    Least squares with re-set parameters (Plass and Stone 1983; Schneider 1990).
    """
    if len(run) < 5:
        return None
    points = run if len(run) <= 50 else run[np.linspace(0, len(run) - 1, 40).astype(int)]
    travel = _travel(points)
    length = float(travel[-1])
    t = travel / length
    p0, p3 = points[0], points[-1]
    for _ in range(3):
        controls = _solve_controls(points, t, start_direction, end_direction)
        if controls is None:
            return None
        cubic = Cubic(as_pair(p0), as_pair(controls[0]), as_pair(controls[1]), as_pair(p3))
        t = _nearer(cubic, points, t)
    arms = max(math.dist(cubic.start, cubic.control1), math.dist(cubic.control2, cubic.end))
    if arms > length:
        return None
    rest = cubic.points_at(t) - points
    stray = float(np.hypot(rest[:, 0], rest[:, 1]).max())
    if len(points) < len(run):
        everywhere = _nearer(
            cubic, run, np.interp(_travel(run) / _travel(run)[-1], travel / length, t)
        )
        rest = cubic.points_at(everywhere) - run
        stray = max(stray, float(np.hypot(rest[:, 0], rest[:, 1]).max()))
    return cubic, stray


def _travel(points: Points) -> FloatArray:
    """(N,) way from the first point."""
    return np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))


def _solve_controls(
    points: Points, t: FloatArray, start: FloatArray | None, end: FloatArray | None
) -> tuple[FloatArray, FloatArray] | None:
    s = 1.0 - t
    b1, b2 = 3.0 * s * s * t, 3.0 * s * t * t
    p0, p3 = points[0], points[-1]
    target = points - np.outer(s**3 + b1, p0) - np.outer(b2 + t**3, p3)
    # Unknowns: a length along each held direction, or both coordinates of a free handle.
    first = np.eye(2) if start is None else start[None]
    second = np.eye(2) if end is None else -end[None]
    columns = [np.outer(b1, d).ravel() for d in first] + [np.outer(b2, d).ravel() for d in second]
    matrix = np.column_stack(columns)
    normal = matrix.T @ matrix
    try:
        solution = np.linalg.solve(normal, matrix.T @ target.ravel())
    except np.linalg.LinAlgError:
        return None
    a, b = solution[: len(first)], solution[len(first) :]
    if (start is not None and a[0] <= 0.0) or (end is not None and b[0] <= 0.0):
        return None
    return p0 + a @ first, p3 + b @ second


def _nearer(cubic: Cubic, points: Points, t: FloatArray) -> FloatArray:
    """One Newton step of every parameter towards its foot point."""
    p0, p1, p2, p3 = cubic.control_points
    s = 1.0 - t
    rest = cubic.points_at(t) - points
    first = (
        np.outer(3 * s * s, p1 - p0) + np.outer(6 * s * t, p2 - p1) + np.outer(3 * t * t, p3 - p2)
    )
    second = np.outer(6 * s, p2 - 2 * p1 + p0) + np.outer(6 * t, p3 - 2 * p2 + p1)
    slope = np.einsum("ij,ij->i", first, first) + np.einsum("ij,ij->i", rest, second)
    step = np.einsum("ij,ij->i", rest, first) / np.where(np.abs(slope) > 1e-12, slope, np.inf)
    moved = np.clip(t - step, 0.0, 1.0)
    moved[0], moved[-1] = 0.0, 1.0
    return moved
