"""The three things an outline is made of: lines, circular arcs and cubics.

Points are (x, y) tuples in mm, x right and y up; angles are radians, counter-clockwise positive.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ...arrays import Matrix, Point, Points, turn_between

__all__ = ["Arc", "Cubic", "Line", "Segment", "transform_points", "turn_at"]

FULL_TURN = 2.0 * math.pi
GAUSS_NODES, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(16)


def transform_points(matrix: Matrix, points: Points) -> Points:
    """Apply a 3×3 plane transform to (N, 2) points."""
    return points @ matrix[:2, :2].T + matrix[:2, 2]


def _transform_point(matrix: Matrix, point: Point) -> Point:
    x, y = point
    return (
        float(matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]),
        float(matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]),
    )


@dataclass(frozen=True, slots=True)
class Line:
    """A straight edge from ``start`` to ``end``."""

    start: Point
    end: Point

    @property
    def length_mm(self) -> float:
        """Length of the edge."""
        return math.dist(self.start, self.end)

    @property
    def area_term(self) -> float:
        """Its share of the enclosed signed area, ½∮(x dy - y dx), in mm²."""
        return 0.5 * (self.start[0] * self.end[1] - self.end[0] * self.start[1])

    def point_at(self, t: float) -> Point:
        """Point at ``t`` in 0..1."""
        (x0, y0), (x1, y1) = self.start, self.end
        return (x0 + t * (x1 - x0), y0 + t * (y1 - y0))

    def tangent_at(self, t: float) -> Point:
        """Unit direction of travel; the same everywhere on a line."""
        length = self.length_mm or 1.0
        return ((self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length)

    def reversed(self) -> Line:
        """Return the same edge travelled the other way."""
        return Line(self.end, self.start)

    def transformed(self, matrix: Matrix) -> Line:
        """Return the edge moved by a 3×3 transform."""
        return Line(_transform_point(matrix, self.start), _transform_point(matrix, self.end))

    def flatten(self, tolerance_mm: float) -> Points:
        """(N, 2) points from the start up to, not including, the end."""
        return np.array([self.start])


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc; ``sweep_rad`` is positive counter-clockwise, ±2π for a whole circle."""

    center: Point
    radius_mm: float
    start_rad: float
    sweep_rad: float

    def __post_init__(self) -> None:
        """Refuse what is no arc."""
        if not (self.radius_mm > 0.0 and math.isfinite(self.radius_mm)):
            raise ValueError(f"an arc needs a positive radius, not {self.radius_mm}")
        if self.sweep_rad == 0.0 or abs(self.sweep_rad) > FULL_TURN + 1e-9:
            raise ValueError(f"an arc sweeps up to one turn, not {self.sweep_rad} rad")

    @classmethod
    def from_bulge(cls, start: Point, end: Point, bulge: float) -> Arc:
        """Arc from end points and the DXF bulge, tan(sweep / 4)."""
        sweep = 4.0 * math.atan(bulge)
        chord = math.dist(start, end)
        radius = chord * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
        # The centre lies on the chord's perpendicular bisector, to the left for a small
        # counter-clockwise arc: offset = chord (1 - b²) / (4 b).
        offset = (1.0 - bulge * bulge) / (4.0 * bulge)
        dx, dy = end[0] - start[0], end[1] - start[1]
        center = (
            (start[0] + end[0]) / 2.0 - dy * offset,
            (start[1] + end[1]) / 2.0 + dx * offset,
        )
        return cls(center, radius, math.atan2(start[1] - center[1], start[0] - center[0]), sweep)

    @classmethod
    def through(cls, start: Point, middle: Point, end: Point) -> Arc:
        """Arc through three points in order.

        Raises
        ------
        ValueError
            If the points lie on one line.
        """
        (ax, ay), (bx, by), (cx, cy) = start, middle, end
        d = 2.0 * ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))
        if abs(d) < 1e-300:
            raise ValueError("three points on a line make no arc")
        b2 = (bx - ax) ** 2 + (by - ay) ** 2
        c2 = (cx - ax) ** 2 + (cy - ay) ** 2
        ux = ((cy - ay) * b2 - (by - ay) * c2) / d
        uy = ((bx - ax) * c2 - (cx - ax) * b2) / d
        center = (ax + ux, ay + uy)
        start_rad = math.atan2(-uy, -ux)
        sweep = (math.atan2(cy - center[1], cx - center[0]) - start_rad) % FULL_TURN
        if d < 0.0:
            sweep -= FULL_TURN
        return cls(center, math.hypot(ux, uy), start_rad, sweep)

    @property
    def start(self) -> Point:
        """Where the arc begins."""
        return self.at_angle(self.start_rad)

    @property
    def end(self) -> Point:
        """Where the arc ends."""
        if self.is_circle:
            return self.start
        return self.at_angle(self.start_rad + self.sweep_rad)

    @property
    def is_circle(self) -> bool:
        """Whether it goes all the way round."""
        return abs(abs(self.sweep_rad) - FULL_TURN) < 1e-12

    @property
    def bulge(self) -> float:
        """DXF bulge, tan(sweep / 4), positive counter-clockwise."""
        return math.tan(self.sweep_rad / 4.0)

    @property
    def length_mm(self) -> float:
        """Length along the arc."""
        return self.radius_mm * abs(self.sweep_rad)

    @property
    def area_term(self) -> float:
        """Its share of the enclosed signed area, ½∮(x dy - y dx), in mm²."""
        (sx, sy), (ex, ey), (cx, cy) = self.start, self.end, self.center
        # About the centre the term is ½ r² sweep; moving the origin adds ½ c × (end - start).
        return 0.5 * (self.radius_mm**2 * self.sweep_rad + cx * (ey - sy) - cy * (ex - sx))

    def at_angle(self, angle_rad: float) -> Point:
        """Point of the circle at an absolute angle."""
        return (
            self.center[0] + self.radius_mm * math.cos(angle_rad),
            self.center[1] + self.radius_mm * math.sin(angle_rad),
        )

    def point_at(self, t: float) -> Point:
        """Point at ``t`` in 0..1."""
        return self.at_angle(self.start_rad + t * self.sweep_rad)

    def tangent_at(self, t: float) -> Point:
        """Unit direction of travel at ``t``."""
        angle = self.start_rad + t * self.sweep_rad
        sign = math.copysign(1.0, self.sweep_rad)
        return (-sign * math.sin(angle), sign * math.cos(angle))

    def reversed(self) -> Arc:
        """Return the same arc travelled the other way."""
        return Arc(self.center, self.radius_mm, self.start_rad + self.sweep_rad, -self.sweep_rad)

    def transformed(self, matrix: Matrix) -> Arc:
        """Return the arc moved by a 3×3 rigid move, mirror or uniform scale."""
        a, b = matrix[0, 0], matrix[0, 1]
        determinant = a * matrix[1, 1] - b * matrix[1, 0]
        scale = math.sqrt(abs(determinant))
        center = _transform_point(matrix, self.center)
        cosine, sine = math.cos(self.start_rad), math.sin(self.start_rad)
        start_rad = math.atan2(matrix[1, 0] * cosine + matrix[1, 1] * sine, a * cosine + b * sine)
        return Arc(
            center,
            self.radius_mm * scale,
            start_rad,
            math.copysign(self.sweep_rad, self.sweep_rad * determinant),
        )

    def flatten(self, tolerance_mm: float) -> Points:
        """(N, 2) points on the arc, chords within ``tolerance_mm``, end not included."""
        ratio = min(max(1.0 - tolerance_mm / self.radius_mm, -1.0), 1.0)
        step = max(2.0 * math.acos(ratio), 1e-4)
        count = max(math.ceil(abs(self.sweep_rad) / step), 4 if self.is_circle else 1)
        angles = self.start_rad + self.sweep_rad * np.arange(count) / count
        return np.column_stack(
            (
                self.center[0] + self.radius_mm * np.cos(angles),
                self.center[1] + self.radius_mm * np.sin(angles),
            )
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
        """Its share of the enclosed signed area, ½∮(x dy - y dx), in mm²; exact."""
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
        """Point at ``t`` in 0..1."""
        x, y = self.points_at(np.array([t]))[0]
        return (float(x), float(y))

    def tangents_at(self, t: Points) -> Points:
        """(N, 2) unit directions of travel at ``t``, also where a handle has zero length."""
        ways = self._derivative(t)
        p0, p1, p2, p3 = self.control_points
        short = np.hypot(*ways.T) < 1e-12
        ways[short] = np.where(np.asarray(t)[short, None] < 0.5, p2 - p0, p3 - p1)
        lengths = np.hypot(*ways.T)
        return np.asarray(ways / np.where(lengths > 0.0, lengths, 1.0)[:, None])

    def tangent_at(self, t: float) -> Point:
        """Unit direction of travel at ``t``, also where a handle has zero length."""
        x, y = self._derivative(np.array([t]))[0]
        length = math.hypot(x, y)
        if length < 1e-12:
            p0, p1, p2, p3 = self.control_points
            x, y = (p2 - p0) if t < 0.5 else (p3 - p1)
            length = math.hypot(x, y) or 1.0
        return (float(x / length), float(y / length))

    def speed_at(self, t: float) -> float:
        """Length of the curve per unit of its parameter at ``t``, in mm."""
        return float(np.hypot(*self._derivative(np.array([t]))[0]))

    def between(self, t0: float, t1: float) -> Cubic:
        """Return the stretch from ``t0`` to ``t1``; the blossom of the curve gives its handles."""
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
                _transform_point(matrix, p)
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


Segment = Line | Arc | Cubic


def turn_at(before: Segment, after: Segment) -> float:
    """Turn at the joint of two segments, rad, counter-clockwise positive."""
    return turn_between(before.tangent_at(1.0), after.tangent_at(0.0))
