"""Area, centroid and second moments of a profile, from its true edges rather than a polygon."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ...arrays import Point, Points
from .profile import Profile
from .segments import Arc, Line, Segment

__all__ = ["Moments", "moments_of"]

NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)
"""Exact for polynomials to degree 31; a quarter of a circle comes out to the last digits."""


@dataclass(frozen=True, slots=True)
class Moments:
    """Moments of a flat shape; the second ones are about its centroid, in mm⁴.

    ``xx_mm4`` is the integral of y² (about the x axis), ``yy_mm4`` that of x², ``xy_mm4`` of x·y.
    """

    area_mm2: float
    centroid: Point
    xx_mm4: float
    yy_mm4: float
    xy_mm4: float


def moments_of(profile: Profile) -> Moments:
    """Moments by Green's theorem along lines, arcs and cubics as they are."""
    samples = [part for segment in profile.segments() for part in _samples(segment)]
    x, y, dx, dy = (np.concatenate([s[:, k] for s in samples]) for k in range(4))
    # About a place in the shape, for far from it the digits would be lost.
    ox, oy = float(x.mean()), float(y.mean())
    x, y = x - ox, y - oy
    area = float((x * dy - y * dx).sum()) / 2.0
    cx = float((x**2 * dy).sum()) / 2.0 / area
    cy = float(-(y**2 * dx).sum()) / 2.0 / area
    xx = float(-(y**3 * dx).sum()) / 3.0 - area * cy * cy
    yy = float((x**3 * dy).sum()) / 3.0 - area * cx * cx
    xy = float((x**2 * y * dy).sum()) / 2.0 - area * cx * cy
    return Moments(area, (cx + ox, cy + oy), xx, yy, xy)


def _samples(segment: Segment) -> list[Points]:
    """(16, 4) x, y and the weighted steps dx, dy along each piece of a segment."""
    if isinstance(segment, Arc):
        pieces = max(1, math.ceil(abs(segment.sweep_rad) / (math.pi / 2.0)))
        step = segment.sweep_rad / pieces
        starts = segment.start_rad + step * np.arange(pieces)
        return [_along_arc(segment, float(a), step) for a in starts]
    ends = [segment.start, segment.end]
    if isinstance(segment, Line):
        controls = np.array(ends)
        t = ((NODES + 1.0) / 2.0)[:, None]
        places = controls[0] + t * (controls[1] - controls[0])
        steps = np.broadcast_to(controls[1] - controls[0], places.shape)
    else:
        p0, p1, p2, p3 = np.array([ends[0], segment.control1, segment.control2, ends[1]])
        t = ((NODES + 1.0) / 2.0)[:, None]
        u = 1.0 - t
        places = u**3 * p0 + 3 * u * u * t * p1 + 3 * u * t * t * p2 + t**3 * p3
        steps = 3 * (u * u * (p1 - p0) + 2 * u * t * (p2 - p1) + t * t * (p3 - p2))
    return [np.hstack((places, steps * (WEIGHTS / 2.0)[:, None]))]


def _along_arc(arc: Arc, start_rad: float, step_rad: float) -> Points:
    angle = start_rad + step_rad * (NODES + 1.0) / 2.0
    turn = np.column_stack((np.cos(angle), np.sin(angle)))
    across = np.column_stack((-turn[:, 1], turn[:, 0]))
    weight = (arc.radius_mm * step_rad * WEIGHTS / 2.0)[:, None]
    return np.hstack((np.array(arc.center) + arc.radius_mm * turn, across * weight))
