"""Cubic Bézier curves, and points moved by 3×3 plane transforms.

Points are (x, y) tuples in mm, x right and y up; angles are radians, counter-clockwise positive.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ...arrays import Matrix, Point, Points

__all__ = ["Cubic", "transform_point", "transform_points"]

GAUSS_NODES, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(16)
"""Sixteen points are exact for polynomials of degree 31; a cubic's speed is the root of one of
degree 4."""


def transform_points(matrix: Matrix, points: Points) -> Points:
    """Apply a 3×3 plane transform to (N, 2) points."""
    return points @ matrix[:2, :2].T + matrix[:2, 2]


def transform_point(matrix: Matrix, point: Point) -> Point:
    """(x, y) of a point after a 3×3 affine transform of the plane."""
    x, y = point
    return (
        float(matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]),
        float(matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]),
    )


@dataclass(frozen=True, slots=True)
class Cubic:
    """A cubic Bézier curve."""

    start: Point
    control1: Point
    control2: Point
    end: Point

    @property
    def control_points(self) -> Points:
        """(4, 2) control polygon."""
        return np.array([self.start, self.control1, self.control2, self.end])

    @property
    def length_mm(self) -> float:
        """Length along the curve, by 16-point Gauss-Legendre quadrature."""
        speed = np.hypot(*self._derivative((GAUSS_NODES + 1.0) / 2.0).T)
        return float(speed @ GAUSS_WEIGHTS / 2.0)

    @property
    def area_term(self) -> float:
        """Its fraction of the enclosed signed area, ½∮(x dy - y dx), in mm²; exact."""
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = self.control_points
        # Closed form of the integral for a cubic Bézier curve.
        return (
            float(
                x0 * (6 * y1 + 3 * y2 + y3)
                + x1 * (-6 * y0 + 3 * y2 + 3 * y3)
                + x2 * (-3 * y0 - 3 * y1 + 6 * y3)
                + x3 * (-y0 - 3 * y1 - 6 * y2)
            )
            / 20.0
        )

    def points_at(self, t: Points) -> Points:
        """(N, 2) points at parameters ``t`` in 0..1."""
        t = np.asarray(t, dtype=np.float64)[:, None]
        s = 1.0 - t
        p0, p1, p2, p3 = self.control_points
        return s**3 * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t**3 * p3

    def _derivative(self, t: Points) -> Points:
        t = np.asarray(t, dtype=np.float64)[:, None]
        s = 1.0 - t
        p0, p1, p2, p3 = self.control_points
        return 3 * s * s * (p1 - p0) + 6 * s * t * (p2 - p1) + 3 * t * t * (p3 - p2)

    def point_at(self, t: float) -> Point:
        """(x, y), mm, at the parameter ``t`` in 0..1."""
        x, y = self.points_at(np.array([t]))[0]
        return (float(x), float(y))

    def tangents_at(self, t: Points) -> Points:
        """(N, 2) unit directions of travel at ``t``, also where a handle has zero length."""
        tangents = self._derivative(t)
        p0, p1, p2, p3 = self.control_points
        short = np.hypot(*tangents.T) < 1e-12
        tangents[short] = np.where(np.asarray(t)[short, None] < 0.5, p2 - p0, p3 - p1)
        lengths = np.hypot(*tangents.T)
        return np.asarray(tangents / np.where(lengths > 0.0, lengths, 1.0)[:, None])

    def tangent_at(self, t: float) -> Point:
        """Unit direction of travel at ``t``, also where a handle has zero length."""
        x, y = self.tangents_at(np.array([t]))[0]
        return (float(x), float(y))

    def speed_at(self, t: float) -> float:
        """Length of the curve per unit of its parameter at ``t``, in mm."""
        return float(np.hypot(*self._derivative(np.array([t]))[0]))

    def between(self, t0: float, t1: float) -> Cubic:
        """Return the interval from ``t0`` to ``t1``; the blossom of the curve gives its handles."""
        p0, p1, p2, p3 = self.control_points

        def blossom(a: float, b: float, c: float) -> Point:
            q0, q1, q2 = ((1 - a) * p + a * q for p, q in ((p0, p1), (p1, p2), (p2, p3)))
            r0, r1 = (1 - b) * q0 + b * q1, (1 - b) * q1 + b * q2
            x, y = (1 - c) * r0 + c * r1
            return (float(x), float(y))

        return Cubic(
            blossom(t0, t0, t0), blossom(t0, t0, t1), blossom(t0, t1, t1), blossom(t1, t1, t1)
        )

    def reversed(self) -> Cubic:
        """Return the same curve travelled the other way."""
        return Cubic(self.end, self.control2, self.control1, self.start)

    def transformed(self, matrix: Matrix) -> Cubic:
        """Return the curve moved by a 3×3 affine transform."""
        return Cubic(
            *(
                transform_point(matrix, p)
                for p in (self.start, self.control1, self.control2, self.end)
            )
        )

    def flatten(self, tolerance_mm: float) -> Points:
        """(N, 2) points on the curve, chords within ``tolerance_mm``, end not included."""
        p0, p1, p2, p3 = self.control_points
        # A cubic's chord error over a step h is at most h²/8 of its largest second derivative.
        bend = 6.0 * max(math.hypot(*(p0 - 2 * p1 + p2)), math.hypot(*(p1 - 2 * p2 + p3)))
        count = max(math.ceil(math.sqrt(bend / (8.0 * tolerance_mm))), 1)
        return self.points_at(np.arange(count) / count)
