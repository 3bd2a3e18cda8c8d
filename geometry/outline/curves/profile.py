"""A closed flat shape in mm: one outer loop and any holes, made of true segments."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from shapely import Polygon

from ...arrays import Matrix, Point, Points
from ...errors import OutlineError
from ...tolerance import JOIN_MM, MEASURED_FLAT_MM
from .fitter import fit_ring
from .loop_arrays import LoopArrays, arrays_of, segments_of
from .segments import Arc, Cubic, Line, Segment

__all__ = ["Loop", "Profile", "mirror_matrix", "move_matrix", "rotation_matrix"]

LARGEST = 1e9
"""A thousand kilometres, in mm: beyond it numbers no longer hold an edge's place."""


def move_matrix(dx_mm: float, dy_mm: float) -> Matrix:
    """3×3 matrix of a translation by (dx, dy) mm."""
    _refuse_endless(dx_mm, dy_mm)
    return np.array([[1.0, 0.0, dx_mm], [0.0, 1.0, dy_mm], [0.0, 0.0, 1.0]])


def rotation_matrix(angle_rad: float, about: Point = (0.0, 0.0)) -> Matrix:
    """3×3 matrix of a counter-clockwise turn about a point."""
    _refuse_endless(angle_rad, *about)
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    x, y = about
    return np.array([[c, -s, x - c * x + s * y], [s, c, y - s * x - c * y], [0.0, 0.0, 1.0]])


def mirror_matrix(point: Point, angle_rad: float) -> Matrix:
    """3×3 matrix of a reflection in the line through ``point`` at ``angle_rad``."""
    _refuse_endless(angle_rad, *point)
    c, s = math.cos(2.0 * angle_rad), math.sin(2.0 * angle_rad)
    x, y = point
    return np.array([[c, s, x - c * x - s * y], [s, -c, y - s * x + c * y], [0.0, 0.0, 1.0]])


def _refuse_endless(*numbers: float) -> None:
    for number in numbers:
        if not abs(number) <= LARGEST:
            raise OutlineError(
                "An outline cannot be moved or turned by {number:g}. Type another number.",
                number=number,
            )


class Loop:
    """A closed chain of segments; each ends where the next begins.

    Immutable. It is kept as segments, as arrays or both: what came as one is made into the other
    only when somebody asks.
    """

    __slots__ = ("_arrays", "_segments")
    _arrays: LoopArrays | None
    _segments: tuple[Segment, ...] | None

    def __init__(self, segments: Iterable[Segment]) -> None:
        """Refuse an open or empty chain."""
        chain = tuple(segments)
        if not chain:
            raise OutlineError("An outline needs at least one segment. Draw one.")
        for here, following in zip(chain, chain[1:] + chain[:1], strict=True):
            gap = math.dist(here.end, following.start)
            if not gap <= JOIN_MM:
                x, y = here.end
                raise OutlineError(
                    "The outline is open by {gap:.4g} mm at ({x:.3f}, {y:.3f}) mm. "
                    "Join the two ends there.",
                    gap=gap,
                    x=x,
                    y=y,
                )
        object.__setattr__(self, "_segments", chain)
        object.__setattr__(self, "_arrays", None)

    @classmethod
    def from_arrays(cls, arrays: LoopArrays) -> Loop:
        """Loop of lines and arcs that is known to be closed; the arrays must not change."""
        loop = object.__new__(cls)
        object.__setattr__(loop, "_segments", None)
        object.__setattr__(loop, "_arrays", arrays)
        return loop

    @property
    def segments(self) -> tuple[Segment, ...]:
        """Lines, arcs and cubics, each beginning where the last one ends."""
        if self._segments is None:
            assert self._arrays is not None
            object.__setattr__(self, "_segments", segments_of(self._arrays))
        assert self._segments is not None
        return self._segments

    @property
    def arrays(self) -> LoopArrays | None:
        """The same as arrays; None if there are cubics."""
        if self._arrays is None:
            object.__setattr__(self, "_arrays", arrays_of(self.segments))
        return self._arrays

    def __setattr__(self, name: str, value: object) -> None:
        """Refuse any change."""
        raise AttributeError(f"a loop is immutable; its {name} cannot be set")

    def __eq__(self, other: object) -> bool:
        """Whether both are the same segments in the same order."""
        return self.segments == other.segments if isinstance(other, Loop) else NotImplemented

    def __hash__(self) -> int:
        """Return the same for equal loops."""
        return hash(self.segments)

    def __repr__(self) -> str:
        """Return how to write it."""
        return f"Loop(segments={self.segments!r})"

    def __reduce__(self) -> tuple[type[Loop], tuple[tuple[Segment, ...]]]:
        """Copy and pickle by segments."""
        return (Loop, (self.segments,))

    @classmethod
    def through(cls, points_mm: Points | Iterable[Point]) -> Loop:
        """Loop of straight lines through corners; a repeated last corner is dropped."""
        corners = np.array([(float(x), float(y)) for x, y in points_mm]).reshape(-1, 2)
        if len(corners) > 1 and (corners[0] == corners[-1]).all():
            corners = corners[:-1]
        if len(corners) < 3:
            raise OutlineError(
                "An outline of straight lines needs at least three corners. Draw another corner."
            )
        odd = ~(np.abs(corners) <= LARGEST).all(axis=1)
        if odd.any():
            raise OutlineError(
                "Corner {argmax} of the outline has no place that is a number. Draw it again.",
                argmax=int(odd.argmax()) + 1,
            )
        return cls.from_arrays(LoopArrays.of_lines(corners))

    @classmethod
    def circle(cls, center: Point, radius_mm: float) -> Loop:
        """Counter-clockwise circle as one arc, its start at angle 0."""
        return cls((Arc(center, radius_mm, 0.0, 2.0 * math.pi),))

    @property
    def signed_area_mm2(self) -> float:
        """Exact enclosed area, mm², positive for counter-clockwise loops."""
        arrays = self.arrays
        if arrays is not None:
            return arrays.signed_area_mm2
        return math.fsum(s.area_term for s in self.segments)

    @property
    def length_mm(self) -> float:
        """Length once round, mm."""
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
        if self._segments is None and self._arrays is not None:
            return Loop.from_arrays(self._arrays.reversed())
        return Loop(tuple(s.reversed() for s in reversed(self.segments)))

    def transformed(self, matrix: Matrix) -> Loop:
        """Return the loop moved by a 3×3 rigid move, mirror or uniform scale."""
        return Loop(tuple(s.transformed(matrix) for s in self.segments))

    def flatten(self, tolerance_mm: float = 0.01) -> Points:
        """(N, 2) corners of a polygon, three at least; chords stay within ``tolerance_mm``."""
        corners = np.concatenate([s.flatten(tolerance_mm) for s in self.segments])
        if len(corners) > 2:
            return corners
        # Two segments flatter than the tolerance: their middles tell them apart.
        return np.array([s.point_at(t) for s in self.segments for t in (0.0, 0.5)])

    def nodes(self) -> Points:
        """(N, 2) start points of the segments."""
        if self._arrays is not None:
            return self._arrays.corner.copy()
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
    def oriented(cls, outer: Loop, holes: tuple[Loop, ...] = ()) -> Profile:
        """Profile of loops that are known to run the right way round already."""
        profile = object.__new__(cls)
        object.__setattr__(profile, "outer", outer)
        object.__setattr__(profile, "holes", holes)
        return profile

    @classmethod
    def from_polygon(cls, polygon: Polygon, tolerance_mm: float) -> Profile:
        """Fit lines, arcs and cubics to a polygon, each corner within ``tolerance_mm``."""
        if polygon.is_empty or polygon.geom_type != "Polygon":
            raise OutlineError(
                "There is no single closed shape to make an outline from. Close one shape, and "
                "leave out the others."
            )

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
        """Exact area, mm², with the holes taken out."""
        return math.fsum(loop.signed_area_mm2 for loop in self.loops)

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """(x min, y min, x max, y max), within a micrometre."""
        points = self.outer.flatten(MEASURED_FLAT_MM)
        (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
        return (float(x0), float(y0), float(x1), float(y1))

    def segments(self) -> Iterator[Segment]:
        """Every segment of the outer loop, then of each hole."""
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
        """The shape translated by (dx, dy) mm."""
        return self.transformed(move_matrix(dx_mm, dy_mm))

    def rotated(self, angle_rad: float, about: Point = (0.0, 0.0)) -> Profile:
        """The shape turned by an angle, rad, counter-clockwise about a point."""
        return self.transformed(rotation_matrix(angle_rad, about))

    def mirrored(self, point: Point = (0.0, 0.0), angle_rad: float = math.pi / 2.0) -> Profile:
        """Return the shape reflected in a line; by default the y axis."""
        return self.transformed(mirror_matrix(point, angle_rad))

    def count(self, kind: type[Line] | type[Arc] | type[Cubic]) -> int:
        """Number of segments of a kind: `Line`, `Arc` or `Cubic`."""
        return sum(isinstance(s, kind) for s in self.segments())
