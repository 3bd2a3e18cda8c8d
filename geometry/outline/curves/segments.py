"""The three things an outline is made of: lines, circular arcs and cubics.

Points are (x, y) tuples in mm, x right and y up; angles are radians, counter-clockwise positive.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ...arrays import Matrix, Point, Points, turn_between
from .cubic import Cubic, transform_point, transform_points

__all__ = ["Arc", "Cubic", "Line", "Segment", "transform_points", "turn_at"]

FULL_TURN = 2.0 * math.pi


@dataclass(frozen=True, slots=True)
class Line:
    """A straight edge from ``start`` to ``end``."""

    start: Point
    end: Point

    @property
    def length_mm(self) -> float:
        """Length, mm."""
        return math.dist(self.start, self.end)

    @property
    def area_term(self) -> float:
        """Its fraction of the enclosed signed area, ½∮(x dy - y dx), in mm²."""
        return 0.5 * (self.start[0] * self.end[1] - self.end[0] * self.start[1])

    def point_at(self, t: float) -> Point:
        """(x, y), mm, at the fraction ``t`` (0..1) of its length."""
        (x0, y0), (x1, y1) = self.start, self.end
        return (x0 + t * (x1 - x0), y0 + t * (y1 - y0))

    def points_at(self, t: Points) -> Points:
        """(N, 2) mm at fractions ``t`` (0..1) of its length."""
        start = np.asarray(self.start)
        return start + t[:, None] * (np.asarray(self.end) - start)

    def tangents_at(self, t: Points) -> Points:
        """(N, 2) unit directions of travel at fractions ``t`` (0..1)."""
        return np.broadcast_to(self.tangent_at(0.0), (len(t), 2))

    def tangent_at(self, t: float) -> Point:
        """Unit direction of travel; the same everywhere on a line."""
        length = self.length_mm or 1.0
        return ((self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length)

    def reversed(self) -> Line:
        """Return the same edge travelled the other way."""
        return Line(self.end, self.start)

    def transformed(self, matrix: Matrix) -> Line:
        """Return the edge moved by a 3×3 transform."""
        return Line(transform_point(matrix, self.start), transform_point(matrix, self.end))

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
        """Arc from end points and the DXF bulge, tan(sweep / 4).

        Parameters
        ----------
        start, end
            In mm.
        bulge
            Positive for counter-clockwise.

        Examples
        --------
        >>> round(Arc.from_bulge((0.0, 0.0), (2.0, 0.0), 1.0).radius_mm, 6)
        1.0
        """
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
        """Arc through three points, mm, in order.

        Parameters
        ----------
        start, middle, end
            In mm, in order.

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
        """(x, y), mm, where the arc begins."""
        return self.at_angle(self.start_rad)

    @property
    def end(self) -> Point:
        """(x, y), mm, where the arc ends."""
        if self.is_circle:
            return self.start
        return self.at_angle(self.start_rad + self.sweep_rad)

    @property
    def is_circle(self) -> bool:
        """Whether it sweeps a whole turn."""
        return abs(abs(self.sweep_rad) - FULL_TURN) < 1e-12

    @property
    def bulge(self) -> float:
        """DXF bulge, tan(sweep / 4), positive counter-clockwise."""
        return math.tan(self.sweep_rad / 4.0)

    @property
    def length_mm(self) -> float:
        """Length along the arc, mm."""
        return self.radius_mm * abs(self.sweep_rad)

    @property
    def area_term(self) -> float:
        """Its fraction of the enclosed signed area, ½∮(x dy - y dx), in mm²."""
        (sx, sy), (ex, ey), (cx, cy) = self.start, self.end, self.center
        # About the centre the term is ½ r² sweep; moving the origin adds ½ c × (end - start).
        return 0.5 * (self.radius_mm**2 * self.sweep_rad + cx * (ey - sy) - cy * (ex - sx))

    def at_angle(self, angle_rad: float) -> Point:
        """(x, y), mm, of its circle at an angle from +x, counter-clockwise."""
        return (
            self.center[0] + self.radius_mm * math.cos(angle_rad),
            self.center[1] + self.radius_mm * math.sin(angle_rad),
        )

    def point_at(self, t: float) -> Point:
        """(x, y), mm, at the fraction ``t`` (0..1) of its sweep."""
        return self.at_angle(self.start_rad + t * self.sweep_rad)

    def points_at(self, t: Points) -> Points:
        """(N, 2) mm at fractions ``t`` (0..1) of its sweep."""
        angle = self.start_rad + t * self.sweep_rad
        away = self.radius_mm * np.column_stack((np.cos(angle), np.sin(angle)))
        return np.asarray(self.center) + away

    def tangents_at(self, t: Points) -> Points:
        """(N, 2) unit directions of travel at fractions ``t`` (0..1) of its sweep."""
        angle = self.start_rad + t * self.sweep_rad
        sign = math.copysign(1.0, self.sweep_rad)
        return sign * np.column_stack((-np.sin(angle), np.cos(angle)))

    def tangent_at(self, t: float) -> Point:
        """Unit direction of travel at the fraction ``t`` (0..1) of its sweep."""
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
        center = transform_point(matrix, self.center)
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


Segment = Line | Arc | Cubic


def turn_at(before: Segment, after: Segment) -> float:
    """Turn at the joint of two segments, rad, counter-clockwise positive."""
    return turn_between(before.tangent_at(1.0), after.tangent_at(0.0))
