"""How far points lie from a segment, and the cubic through one run of points."""

import math

import numpy as np

from ...arrays import FloatArray, Point, Points
from ..curves import Arc, Cubic, Line, Segment
from .cubics import cubics_through, nearer, powers

__all__ = ["as_pair", "cubic_through_run", "distances"]

PLACES = 25
"""Places of a cubic that the nearest one is sought from."""
MOST_POINTS = 48
"""Of a longer run this many places are enough to lay a cubic by."""


def as_pair(point: FloatArray) -> Point:
    """(x, y) as two plain numbers of a (2,) array."""
    return (float(point[0]), float(point[1]))


def distances(segment: Segment, points: Points) -> FloatArray:
    """(N,) distance of each point to the segment, its ends included."""
    if isinstance(segment, Line):
        a, b = np.asarray(segment.start), np.asarray(segment.end)
        along = b - a
        fraction = (points - a) @ along / max(float(along @ along), 1e-300)
        offset = points - a - np.clip(fraction, 0.0, 1.0)[:, None] * along
        return np.hypot(offset[:, 0], offset[:, 1])
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
    return _from_cubic(segment, points)


def _from_cubic(cubic: Cubic, points: Points) -> FloatArray:
    """(N,) distance of each point to a cubic: the nearest of some places, bettered by Newton."""
    z = points[:, 0] + 1j * points[:, 1]
    corners = cubic.control_points
    c = powers(*(corners[:, 0] + 1j * corners[:, 1]))
    t = np.linspace(0.0, 1.0, PLACES)
    places = ((c[3] * t + c[2]) * t + c[1]) * t + c[0]
    far = np.abs(z[:, None] - places)
    best = far.argmin(axis=1)
    nearest = far[np.arange(len(z)), best]
    guess = t[best]
    for _ in range(3):
        guess, gaps = nearer(c, z, guess)
        nearest = np.minimum(nearest, gaps)
    return nearest


def cubic_through_run(
    run: Points,
    checks: Points,
    start_direction: FloatArray | None,
    end_direction: FloatArray | None,
    weights: FloatArray | None = None,
) -> tuple[Cubic, float] | None:
    """Cubic nearest the run, its end directions held where given, and how far checks stray from it.

    Parameters
    ----------
    run
        (N, 2) smoothed places, mm; None is returned of fewer than five.
    checks
        (N, 2) the same places as they were measured.
    start_direction, end_direction
        (2,) unit directions of travel at the ends, free where None.
    weights
        (N,) how much each place counts in least squares; all alike where None.
    """
    if len(run) < 5:
        return None
    every = run[:, 0] + 1j * run[:, 1]
    travel = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(every)))))
    length = float(travel[-1])
    pick = np.arange(len(run))
    if len(run) > MOST_POINTS:
        pick = np.linspace(0, len(run) - 1, MOST_POINTS).astype(np.int64)
    held = [
        np.array([0j if direction is None else complex(direction[0], direction[1])])
        for direction in (start_direction, end_direction)
    ]
    z = every[None, pick]
    root = None if weights is None else np.sqrt(weights[None, pick])
    found, t, _ = cubics_through(z, travel[None, pick] / length, held[0], held[1], math.inf, root)
    p1, p2 = found[0]
    if not max(abs(p1 - z[0, 0]), abs(p2 - z[0, -1])) <= length:
        return None
    guess = np.interp(travel, travel[pick], t[0])
    places = checks[:, 0] + 1j * checks[:, 1]
    deviation = float(nearer(powers(every[0], p1, p2, every[-1]), places, guess)[1][1:-1].max())
    a, b, c, d = ((float(p.real), float(p.imag)) for p in (every[0], p1, p2, every[-1]))
    return Cubic(a, b, c, d), deviation
