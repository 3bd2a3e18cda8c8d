"""A closed flat shape in mm: one outer loop and any holes, made of true segments."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from shapely import Polygon

from ..arrays import Matrix, Point, Points
from ..errors import OutlineError
from .fitting import fit_ring
from .segments import Arc, Cubic, Line, Segment

__all__ = ["Loop", "Profile", "mirror_matrix", "move_matrix", "rotation_matrix"]

JOIN_MM = 1e-6
"""Largest gap between the end of one segment and the start of the next."""


def move_matrix(dx_mm: float, dy_mm: float) -> Matrix:
    """3×3 matrix of a plain move."""
    return np.array([[1.0, 0.0, dx_mm], [0.0, 1.0, dy_mm], [0.0, 0.0, 1.0]])


def rotation_matrix(angle_rad: float, about: Point = (0.0, 0.0)) -> Matrix:
    """3×3 matrix of a counter-clockwise turn about a point."""
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    x, y = about
    return np.array([[c, -s, x - c * x + s * y], [s, c, y - s * x - c * y], [0.0, 0.0, 1.0]])


def mirror_matrix(point: Point, angle_rad: float) -> Matrix:
    """3×3 matrix of a reflection in the line through ``point`` at ``angle_rad``."""
    c, s = math.cos(2.0 * angle_rad), math.sin(2.0 * angle_rad)
    x, y = point
    return np.array([[c, s, x - c * x - s * y], [s, -c, y - s * x + c * y], [0.0, 0.0, 1.0]])


@dataclass(frozen=True, slots=True)
class Loop:
    """A closed chain of segments; each ends where the next begins."""

    segments: tuple[Segment, ...]

    def __post_init__(self) -> None:
        """Refuse an open or empty chain."""
        object.__setattr__(self, "segments", tuple(self.segments))
        if not self.segments:
            raise OutlineError("An outline needs at least one segment.")
        for here, following in zip(
            self.segments, self.segments[1:] + self.segments[:1], strict=True
        ):
            gap = math.dist(here.end, following.start)
            if not gap <= JOIN_MM:
                x, y = here.end
                raise OutlineError(
                    f"The outline is open by {gap:.4g} mm at ({x:.3f}, {y:.3f}) mm. "
                    "Join the two ends there."
                )

    @classmethod
    def through(cls, points_mm: Points | Iterable[Point]) -> Loop:
        """Loop of straight lines through corners; a repeated last corner is dropped."""
        corners = [(float(x), float(y)) for x, y in points_mm]
        if len(corners) > 1 and corners[0] == corners[-1]:
            corners.pop()
        if len(corners) < 3:
            raise OutlineError("An outline of straight lines needs at least three corners.")
        return cls(
            tuple(Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))
        )

    @classmethod
    def circle(cls, center: Point, radius_mm: float) -> Loop:
        """Counter-clockwise whole circle, one arc."""
        return cls((Arc(center, radius_mm, 0.0, 2.0 * math.pi),))

    @property
    def signed_area_mm2(self) -> float:
        """Exact area, positive counter-clockwise."""
        return math.fsum(s.area_term for s in self.segments)

    @property
    def length_mm(self) -> float:
        """Distance once round."""
        return math.fsum(s.length_mm for s in self.segments)

    @property
    def is_circle(self) -> bool:
        """Whether every segment is an arc of one and the same circle."""
        first = self.segments[0]
        return isinstance(first, Arc) and all(
            isinstance(s, Arc)
            and math.dist(s.center, first.center) < JOIN_MM
            and abs(s.radius_mm - first.radius_mm) < JOIN_MM
            for s in self.segments
        )

    def reversed(self) -> Loop:
        """Return the same loop travelled the other way."""
        return Loop(tuple(s.reversed() for s in reversed(self.segments)))

    def transformed(self, matrix: Matrix) -> Loop:
        """Return the loop moved by a 3×3 rigid move, mirror or uniform scale."""
        return Loop(tuple(s.transformed(matrix) for s in self.segments))

    def flatten(self, tolerance_mm: float = 0.01) -> Points:
        """(N, 2) corners of a polygon whose chords stay within ``tolerance_mm``."""
        return np.concatenate([s.flatten(tolerance_mm) for s in self.segments])

    def nodes(self) -> Points:
        """(N, 2) start points of the segments."""
        return np.array([s.start for s in self.segments])


@dataclass(frozen=True, slots=True)
class Profile:
    """A flat shape: the outer loop runs counter-clockwise, holes clockwise."""

    outer: Loop
    holes: tuple[Loop, ...] = ()

    def __post_init__(self) -> None:
        """Turn every loop the right way round."""
        if self.outer.signed_area_mm2 < 0.0:
            object.__setattr__(self, "outer", self.outer.reversed())
        object.__setattr__(
            self,
            "holes",
            tuple(h.reversed() if h.signed_area_mm2 > 0.0 else h for h in self.holes),
        )

    @classmethod
    def from_polygon(cls, polygon: Polygon, tolerance_mm: float) -> Profile:
        """Fit lines, arcs and cubics to a polygon, each corner within ``tolerance_mm``."""
        if polygon.is_empty or polygon.geom_type != "Polygon":
            raise OutlineError("There is no single closed shape to make an outline from.")

        def loop(ring: Points) -> Loop:
            return Loop(fit_ring(ring, tolerance_mm))

        return cls(
            loop(np.asarray(polygon.exterior.coords)[:-1, :2]),
            tuple(loop(np.asarray(r.coords)[:-1, :2]) for r in polygon.interiors),
        )

    @property
    def loops(self) -> tuple[Loop, ...]:
        """The outer loop, then the holes."""
        return (self.outer, *self.holes)

    @property
    def area_mm2(self) -> float:
        """Exact area with the holes taken out."""
        return math.fsum(loop.signed_area_mm2 for loop in self.loops)

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """(x min, y min, x max, y max), within a micrometre."""
        points = self.outer.flatten(1e-3)
        (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
        return (float(x0), float(y0), float(x1), float(y1))

    def segments(self) -> Iterator[Segment]:
        """Every segment of every loop."""
        for loop in self.loops:
            yield from loop.segments

    def polygon(self, tolerance_mm: float = 0.01) -> Polygon:
        """Shapely polygon whose chords stay within ``tolerance_mm`` of the true segments."""
        return Polygon(
            self.outer.flatten(tolerance_mm), [h.flatten(tolerance_mm) for h in self.holes]
        )

    def transformed(self, matrix: Matrix) -> Profile:
        """Return the shape moved by a 3×3 rigid move, mirror or uniform scale."""
        return Profile(
            self.outer.transformed(matrix), tuple(h.transformed(matrix) for h in self.holes)
        )

    def moved(self, dx_mm: float, dy_mm: float) -> Profile:
        """Return the shape moved by (dx, dy)."""
        return self.transformed(move_matrix(dx_mm, dy_mm))

    def rotated(self, angle_rad: float, about: Point = (0.0, 0.0)) -> Profile:
        """Return the shape turned counter-clockwise about a point."""
        return self.transformed(rotation_matrix(angle_rad, about))

    def mirrored(self, point: Point = (0.0, 0.0), angle_rad: float = math.pi / 2.0) -> Profile:
        """Return the shape reflected in a line; by default the y axis."""
        return self.transformed(mirror_matrix(point, angle_rad))

    def count(self, kind: type[Line] | type[Arc] | type[Cubic]) -> int:
        """How many segments of one kind it has."""
        return sum(isinstance(s, kind) for s in self.segments())
