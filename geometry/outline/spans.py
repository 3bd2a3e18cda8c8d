"""One segment through a run of points: the line, the arc or the cubic, and how far it strays.

A run is (N, 2) points in order; the segment starts at the first and ends at the last exactly.
"""

import math

import numpy as np
from numpy.typing import NDArray

from ..arrays import FloatArray, Point, Points
from .segments import Arc, Cubic, Line, Segment

__all__ = ["arc_through_run", "as_pair", "cubic_through_run", "distances", "line_through_run"]

Complexes = NDArray[np.complex128]
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


def line_through_run(run: Points, give_up_mm: float = math.inf) -> tuple[Line, float]:
    """Straight from the first to the last point, and the largest stray.

    Of a line that strays beyond ``give_up_mm`` no more than that is found out.
    """
    line = Line(as_pair(run[0]), as_pair(run[-1]))
    return line, _stray(line, run, give_up_mm)


def _stray(segment: Line | Arc, run: Points, give_up_mm: float) -> float:
    """Largest distance of a run's points; of some of them where those are too far already."""
    if len(run) > 96:
        few = float(distances(segment, run[:: len(run) // 16]).max())
        if few > give_up_mm:
            return few
    return float(distances(segment, run).max())


def arc_through_run(run: Points, give_up_mm: float = math.inf) -> tuple[Arc, float] | None:
    """Arc from the first to the last point nearest the others, and the largest stray.

    Of an arc that strays beyond ``give_up_mm`` no more than that is found out.

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
    if arc.length_mm > 1.2 * length and arc.length_mm > 1.2 * float(_travel(run)[-1]):
        return None
    return arc, _stray(arc, run, give_up_mm)


def cubic_through_run(
    run: Points,
    start_direction: FloatArray | None,
    end_direction: FloatArray | None,
    give_up_mm: float = math.inf,
) -> tuple[Cubic, float] | None:
    """Cubic nearest the run, its end directions held where given, and the largest stray.

    Least squares with re-set parameters (Plass and Stone 1983; Schneider 1990), on points as
    complex numbers. A first try that strays beyond ``give_up_mm`` is not bettered.
    """
    if len(run) < 5:
        return None
    every = run[:, 0] + 1j * run[:, 1]
    travel = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(every)))))
    length = float(travel[-1])
    pick = np.arange(len(run))
    if len(run) > 48:
        pick = np.linspace(0, len(run) - 1, 32).astype(np.int64)
    z, t = every[pick], travel[pick] / length
    stray = 0.0
    for _ in range(3):
        controls = _solve_controls(z, t, start_direction, end_direction)
        if controls is None:
            return None
        p1, p2 = controls
        c = _powers(complex(z[0]), p1, p2, complex(z[-1]))
        t, stray = _nearer(c, z, t)
        if stray > give_up_mm:
            break
    if max(abs(p1 - z[0]), abs(p2 - z[-1])) > length:
        return None
    if len(run) > 48 and stray <= give_up_mm:
        stray = _nearer(c, every, np.interp(travel, travel[pick], t))[1]
    cubic = Cubic(
        as_pair(run[0]),
        (float(p1.real), float(p1.imag)),
        (float(p2.real), float(p2.imag)),
        as_pair(run[-1]),
    )
    return cubic, stray


def _travel(points: Points) -> FloatArray:
    """(N,) way from the first point."""
    return np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))


def _powers(
    p0: complex, p1: complex, p2: complex, p3: complex
) -> tuple[complex, complex, complex, complex]:
    """Coefficients of 1, t, t², t³."""
    return p0, 3.0 * (p1 - p0), 3.0 * (p2 - 2.0 * p1 + p0), p3 - 3.0 * (p2 - p1) - p0


def _solve_controls(
    z: Complexes, t: FloatArray, start: FloatArray | None, end: FloatArray | None
) -> tuple[complex, complex] | None:
    s = 1.0 - t
    b1, b2 = 3.0 * s * s * t, 3.0 * s * t * t
    p0, p3 = complex(z[0]), complex(z[-1])
    target = z - (s * s * (s + 3.0 * t)) * p0 - (t * t * (t + 3.0 * s)) * p3
    c11, c12, c22 = float(b1 @ b1), float(b1 @ b2), float(b2 @ b2)
    y1, y2 = complex(b1 @ target), complex(b2 @ target)
    # The unknown handles a, b solve c11 a + c12 b = y1 and c12 a + c22 b = y2; a held one is a
    # length along its direction, and its equation counts along that direction alone.
    det = c11 * c22 - c12 * c12
    if start is None and end is None:
        if abs(det) < 1e-14 * c11 * c22:
            return None
        return p0 + (y1 * c22 - y2 * c12) / det, p3 + (y2 * c11 - y1 * c12) / det
    u = complex(start[0], start[1]) if start is not None else 0j
    v = -complex(end[0], end[1]) if end is not None else 0j
    if start is not None and end is not None:
        dot = (u.conjugate() * v).real
        det = c11 * c22 - (c12 * dot) ** 2
        if det < 1e-14 * c11 * c22:
            return None
        r1, r2 = (u.conjugate() * y1).real, (v.conjugate() * y2).real
        a, b = (r1 * c22 - r2 * c12 * dot) / det, (r2 * c11 - r1 * c12 * dot) / det
        return (p0 + a * u, p3 + b * v) if a > 0.0 < b else None
    if start is not None:
        a = (u.conjugate() * (y1 * c22 - y2 * c12)).real / det
        return (p0 + a * u, p3 + (y2 - c12 * a * u) / c22) if a > 0.0 else None
    b = (v.conjugate() * (y2 * c11 - y1 * c12)).real / det
    return (p0 + (y1 - c12 * b * v) / c11, p3 + b * v) if b > 0.0 else None


def _nearer(
    c: tuple[complex, complex, complex, complex], z: Complexes, t: FloatArray
) -> tuple[FloatArray, float]:
    """One Newton step of every parameter towards its foot point, and the largest stray there."""
    c0, c1, c2, c3 = c
    rest = ((c3 * t + c2) * t + c1) * t + (c0 - z)
    first = (3.0 * c3 * t + 2.0 * c2) * t + c1
    second = 6.0 * c3 * t + 2.0 * c2
    inner = first.conjugate()
    slope = (inner * first).real + (rest.conjugate() * second).real
    step = (inner * rest).real / np.where(np.abs(slope) > 1e-12, slope, np.inf)
    t = np.minimum(np.maximum(t - step, 0.0), 1.0)
    t[0], t[-1] = 0.0, 1.0
    rest = ((c3 * t + c2) * t + c1) * t + (c0 - z)
    return t, float(np.abs(rest).max())
