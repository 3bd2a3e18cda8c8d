"""A drawing to cut from: shapes in mm, each with the operation it is for, in cutting order."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..arrays import Matrix, Points
from ..errors import FileError
from ..outline import Arc, Cubic, Line, Loop, Profile, Segment
from .extent import extent_mm
from .order import nearest_next, part_order

__all__ = ["OPERATIONS", "Drawing", "KerfState", "Operation", "Shape", "drawing"]

Operation = Literal["outside", "inside", "mark"]
KerfState = Literal["nominal", "corrected"]
OPERATIONS: tuple[Operation, ...] = ("mark", "inside", "outside")
"""In the order they are cut."""

SHORTEST_SHAPE_MM = 1e-3
"""A whole shape shorter than this is a slip of the hand, not something to cut."""
SHORTEST_SEGMENT_MM = 5e-6
"""A segment shorter than this lies under the resolution of the files and is left out."""
SAME_MM = 1e-4


@dataclass(frozen=True, slots=True)
class Shape:
    """One path of the tool: segments end to end, closed or open, and what it is for."""

    segments: tuple[Segment, ...]
    closed: bool
    operation: Operation
    name: str = ""

    @property
    def length_mm(self) -> float:
        """Length of the path."""
        return math.fsum(s.length_mm for s in self.segments)

    @property
    def area_mm2(self) -> float:
        """Exact enclosed area, 0 where the path is open."""
        return abs(math.fsum(s.area_term for s in self.segments)) if self.closed else 0.0

    @property
    def is_circle(self) -> bool:
        """Whether it is one whole circle."""
        first = self.segments[0]
        return len(self.segments) == 1 and isinstance(first, Arc) and first.is_circle

    def points(self, tolerance_mm: float = 0.01) -> Points:
        """(N, 2) points along the path, the last one included; chords within the tolerance."""
        pieces = [s.flatten(tolerance_mm) for s in self.segments]
        return np.concatenate([*pieces, np.array([self.segments[-1].end])])

    def transformed(self, matrix: Matrix) -> Shape:
        """Return the shape moved by a 3×3 rigid move, mirror or uniform scale."""
        moved = tuple(s.transformed(matrix) for s in self.segments)
        return Shape(moved, self.closed, self.operation, self.name)


@dataclass(frozen=True, slots=True)
class Drawing:
    """What one file holds. ``kerf_mm`` is the width already allowed for when corrected."""

    shapes: tuple[Shape, ...]
    title: str = ""
    kerf_state: KerfState = "nominal"
    kerf_mm: float = 0.0
    notes: tuple[str, ...] = ()

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """(x min, y min, x max, y max) of every shape, exact."""
        return extent_mm(s for shape in self.shapes for s in shape.segments)

    @property
    def size_mm(self) -> tuple[float, float]:
        """(width, height) of everything drawn."""
        x0, y0, x1, y1 = self.bounds_mm
        return (x1 - x0, y1 - y0)

    @property
    def area_mm2(self) -> float:
        """Material inside the outside cuts less what the inside cuts remove."""
        return math.fsum(
            s.area_mm2 * {"outside": 1.0, "inside": -1.0, "mark": 0.0}[s.operation]
            for s in self.shapes
        )

    @property
    def counts(self) -> dict[Operation, int]:
        """How many shapes each operation has."""
        found = Counter(s.operation for s in self.shapes)
        return {operation: found[operation] for operation in OPERATIONS}

    @property
    def cut_length_mm(self) -> float:
        """How far the tool travels while it cuts through."""
        return math.fsum(s.length_mm for s in self.shapes if s.operation != "mark")

    @property
    def kerf_sentence(self) -> str:
        """What whoever cuts must know about the kerf."""
        if self.kerf_state == "corrected":
            return (
                f"Paths already allow for a kerf of {self.kerf_mm:.3g} mm: "
                "cut on the line and switch off any kerf correction of the machine."
            )
        return "Paths are the finished sizes: the kerf is not allowed for."


def drawing(
    profiles: Sequence[Profile],
    *,
    names: Sequence[str] = (),
    marks: Sequence[Loop | Segment | Sequence[Segment]] = (),
    cuts: Sequence[Segment | Sequence[Segment]] = (),
    title: str = "",
    kerf_state: KerfState = "nominal",
    kerf_mm: float = 0.0,
    notes: Iterable[str] = (),
    share_edges: bool = False,
) -> Drawing:
    """Return the drawing of some parts, in an order safe to cut.

    Marks come first. Then part after part, the nearest next, holes before outsides; a part in
    another's hole comes before that one, for it falls with the waste.

    Parameters
    ----------
    profiles
        Parts where they lie on the sheet, in mm.
    names
        One per part, or none at all.
    marks
        Lines not to cut through: segments, chains or loops.
    cuts
        Open lines to cut through, before any part: segments or chains.

    Raises
    ------
    FileError
        If there is nothing to draw, a shape has no length or two lie on each other.
    """
    if not (math.isfinite(kerf_mm) and kerf_mm >= 0.0):
        raise FileError(
            "The kerf is a width of 0 mm or more, not {kerf_mm:g} mm.",
            kerf_mm=kerf_mm,
        )
    labels = _labels(len(profiles), names)
    parts = [
        (
            [_shape(loop.segments, True, "inside", label) for loop in profile.holes],
            _shape(profile.outer.segments, True, "outside", label),
        )
        for profile, label in zip(profiles, labels, strict=True)
    ]
    shapes, here = [_mark(m) for m in marks], (0.0, 0.0)
    for cut in cuts:
        line = (cut,) if isinstance(cut, Line | Arc | Cubic) else tuple(cut)
        shapes.append(_shape(line, False, "inside", ""))
    for index in part_order([outside.segments for _, outside in parts]):
        holes, outside = parts[index]
        for hole in nearest_next([h.segments for h in holes], here):
            shapes.append(holes[hole])
        shapes.append(outside)
        here = outside.segments[-1].end
    if not shapes:
        raise FileError("There is nothing to draw. Choose at least one part.")
    _refuse_duplicates(shapes)
    if share_edges:
        # It needs shapes, which are defined here.
        from .shared import cut_shared_once

        shapes = list(cut_shared_once(shapes))
    return Drawing(tuple(shapes), title, kerf_state, kerf_mm, tuple(notes))


def _labels(count: int, names: Sequence[str]) -> Sequence[str]:
    if not names:
        return [""] * count
    if len(names) != count:
        raise FileError(
            "There are {count} parts and {names_count} names. Give one name per part.",
            count=count,
            names_count=len(names),
        )
    return names


def _mark(mark: Loop | Segment | Sequence[Segment]) -> Shape:
    if isinstance(mark, Loop):
        return _shape(mark.segments, True, "mark", "")
    if isinstance(mark, Line | Arc | Cubic):
        return _shape((mark,), isinstance(mark, Arc) and mark.is_circle, "mark", "")
    chain = tuple(mark)
    closed = len(chain) > 0 and math.dist(chain[0].start, chain[-1].end) < SAME_MM
    return _shape(chain, closed and len(chain) > 1, "mark", "")


def _shape(segments: tuple[Segment, ...], closed: bool, operation: Operation, name: str) -> Shape:
    length = math.fsum(s.length_mm for s in segments)
    if not (math.isfinite(length) and length >= SHORTEST_SHAPE_MM):
        of = f" of “{name}”" if name else ""
        at = f" at ({segments[0].start[0]:.3f}, {segments[0].start[1]:.3f}) mm" if segments else ""
        raise FileError(
            "A shape{of}{at} has no length. Delete it and save again.",
            of=of,
            at=at,
        )
    kept = tuple(s for s in segments if s.length_mm >= SHORTEST_SEGMENT_MM)
    if closed:
        kept = _whole_circle(kept)
    return Shape(kept, closed, operation, name)


def _whole_circle(segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """Make one arc of a circle that comes in pieces."""
    first = segments[0]
    sweep = sum(s.sweep_rad for s in segments if isinstance(s, Arc))
    if not (isinstance(first, Arc) and Loop(segments).is_circle and len(segments) > 1):
        return segments
    if abs(abs(sweep) - 2.0 * math.pi) > 1e-6:
        return segments
    return (
        Arc(first.center, first.radius_mm, first.start_rad, math.copysign(2.0 * math.pi, sweep)),
    )


def _refuse_duplicates(shapes: Sequence[Shape]) -> None:
    """Refuse two shapes on the same line: it would be cut twice."""
    seen: dict[object, Shape] = {}
    for shape in shapes:
        # Each segment's ends, either way round, and its middle.
        places = sorted(
            tuple(
                tuple(round(c / SAME_MM) for c in point)
                for point in (*sorted((s.start, s.end)), s.point_at(0.5))
            )
            for s in shape.segments
        )
        first = shape.segments[0]
        if shape.is_circle and isinstance(first, Arc):
            # Where a whole circle starts does not matter.
            size = (first.radius_mm, 0.0)
            places = [tuple(tuple(round(c / SAME_MM) for c in p) for p in (first.center, size))]
        other = seen.setdefault(tuple(places), shape)
        if other is not shape:
            x, y = shape.segments[0].start
            who = " and ".join(f"“{s.name}”" for s in (other, shape) if s.name)
            raise FileError(
                "Two shapes lie on each other at ({x:.3f}, {y:.3f}) mm{which}: the "
                "line would be cut twice. Move or delete one of them.",
                x=x,
                y=y,
                which=", of " + who if who else "",
            )
