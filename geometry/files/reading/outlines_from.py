"""Outlines out of other people's DXF and SVG files.

Loose segments are joined end to end, small gaps closed, closed loops nested into outlines with
their holes. What is left over is counted and said, never quietly dropped.
"""

from __future__ import annotations

import math
import os
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import shapely
from shapely import Polygon

from ...arrays import Point
from ...errors import FileError, FlatwrightError
from ...outline import Arc, Cubic, Line, Loop, Profile, Segment
from .chain import JOIN_MM, chain
from .ellipses import line_if_flat
from .foreign import read_foreign_dxf, read_foreign_svg

__all__ = ["Imported", "outlines_from"]

FLAT_MM = 0.005
SHORTEST_MM = 1e-5
"""Anything shorter is a double click, not an edge."""
SMALLEST_MM2 = 1e-3
NEST_MM = 1e-3
"""A hole may share so much of its outline's edge by rounding."""


@dataclass(frozen=True, slots=True)
class Imported:
    """Outlines of a file with their names, in mm, and what was not made an outline.

    ``left_out`` counts by kind, such as ("text", 2); ``widest_gap_mm`` is the widest gap that was
    closed, ``gaps`` how many were; ``notes`` are sentences.
    """

    outlines: tuple[tuple[str, Profile], ...]
    left_out: tuple[tuple[str, int], ...]
    gaps: int
    widest_gap_mm: float
    notes: tuple[str, ...]

    def sentences(self) -> tuple[str, ...]:
        """Return everything to know, as sentences."""
        told = list(self.notes)
        if self.gaps:
            gaps = "1 gap was" if self.gaps == 1 else f"{self.gaps} gaps were"
            told.append(f"{gaps} closed, up to {self.widest_gap_mm:.3g} mm wide.")
        if self.left_out:
            listed = ", ".join(f"{count} {kind}" for kind, count in self.left_out)
            told.append(f"Left out: {listed}.")
        return tuple(told)


def outlines_from(
    path: str | os.PathLike[str], *, join_mm: float = 0.05, mm_per_unit: float | None = None
) -> Imported:
    """Return the outlines in a DXF or SVG file.

    Parameters
    ----------
    join_mm : float
        Ends at most this far apart are joined.
    mm_per_unit : float, optional
        Millimetres a unit of the file; what the file says is used where this is not given, and
        where it says nothing, mm (DXF) or 96 to the inch (SVG), with a note.

    Raises
    ------
    FileError
        If the file cannot be read or holds no closed shape.
    """
    if not (math.isfinite(join_mm) and join_mm > 0.0):
        raise FileError(
            "Ends are joined within a length above 0 mm, not {join_mm:g}. Try 0.05.",
            join_mm=join_mm,
        )
    if mm_per_unit is not None and not (math.isfinite(mm_per_unit) and mm_per_unit > 0.0):
        raise FileError(
            "A unit of the file is a length above 0 mm, not {mm_per_unit:g}.",
            mm_per_unit=mm_per_unit,
        )
    file = Path(path)
    readers = {".dxf": read_foreign_dxf, ".svg": read_foreign_svg}
    reader = readers.get(file.suffix.lower())
    if reader is None:
        raise FileError(
            "“{name}” is neither a DXF nor an SVG file. Choose one of those.",
            name=file.name,
        )
    try:
        found = reader(file, mm_per_unit)
    except OSError as error:
        if error.errno is None:
            raise FileError(
                "“{name}” is no DXF file. Choose one that is.",
                name=file.name,
            ) from error
        raise FileError(
            "“{file}” cannot be read ({value}).",
            file=file,
            value=error.strerror or error,
        ) from error
    except FlatwrightError:
        raise
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as error:
        raise FileError(
            "“{name}” is cut short or damaged. Save it again.",
            name=file.name,
        ) from error
    left_out = found.left_out
    gaps: list[float] = []
    loops: list[tuple[str, Loop, Polygon]] = []
    for layer, segments in _by_layer(found.loose, left_out).items():
        for loop in _loops(segments, join_mm, gaps, left_out):
            area = Polygon(loop.flatten(FLAT_MM))
            if area.is_valid and area.area > SMALLEST_MM2:
                loops.append((layer, loop, area))
            else:
                left_out["shape that crosses itself" if not area.is_valid else "speck"] += 1
    listed = tuple(sorted((kind, count) for kind, count in left_out.items() if count))
    wide = [gap for gap in gaps if gap > JOIN_MM]
    result = Imported(
        tuple(_nested(loops)), listed, len(wide), max(wide, default=0.0), tuple(found.notes)
    )
    if not result.outlines:
        raise FileError(
            " ".join((f"“{file.name}” holds no closed shape.", *result.sentences()))
            + " Close the shape, or join ends that are further apart."
        )
    return result


def _by_layer(
    loose: Iterable[tuple[str, Segment]], left_out: Counter[str]
) -> dict[str, list[Segment]]:
    """Segments by layer, without those too short to see or drawn twice."""
    layers: dict[str, list[Segment]] = {}
    seen: set[tuple[float, ...]] = set()
    for layer, raw in loose:
        segment = line_if_flat(raw, JOIN_MM)
        if segment.length_mm < SHORTEST_MM:
            left_out["speck"] += 1
            continue
        key = _key(segment)
        if key in seen:
            left_out["doubled edge"] += 1
            continue
        seen.add(key)
        layers.setdefault(layer, []).append(segment)
    return layers


def _key(segment: Segment) -> tuple[float, ...]:
    """The same for the same edge, whichever way it runs."""
    marks = [*sorted((segment.start, segment.end)), segment.point_at(0.5)]
    if isinstance(segment, Arc) and segment.is_circle:
        marks = [segment.center, (segment.radius_mm, segment.radius_mm)]
    return tuple(round(c, 4) + 0.0 for p in marks for c in p)


def _loops(
    segments: Sequence[Segment], join_mm: float, gaps: list[float], left_out: Counter[str]
) -> list[Loop]:
    """Closed loops among the segments: first those that meet, then those that nearly do."""
    loops: list[Loop] = []
    open_segments: list[Segment] = []
    for path in chain(segments):
        if _gap(path) <= JOIN_MM:
            loops.append(_healed(path, gaps))
        else:
            open_segments.extend(path)
    for path in chain(open_segments, join_mm):
        gap = _gap(path)
        if gap <= join_mm and sum(s.length_mm for s in path) > 4.0 * gap:
            loops.append(_healed(path, gaps))
        else:
            left_out["open line"] += 1
    return loops


def _gap(path: Sequence[Segment]) -> float:
    first = path[0]
    if len(path) == 1 and isinstance(first, Line):
        return math.inf
    return math.dist(path[-1].end, first.start)


def _healed(path: Sequence[Segment], gaps: list[float]) -> Loop:
    """Loop whose segments meet exactly, half-way between ends that nearly did."""
    if len(path) == 1 and isinstance(path[0], Arc) and path[0].is_circle:
        return Loop(path)
    nodes: list[Point] = []
    for before, here in zip((path[-1], *path[:-1]), path, strict=True):
        (ax, ay), (bx, by) = before.end, here.start
        gaps.append(math.dist(before.end, here.start))
        nodes.append(((ax + bx) / 2.0, (ay + by) / 2.0))
    following = nodes[1:] + nodes[:1]
    return Loop([_between(s, a, b) for s, a, b in zip(path, nodes, following, strict=True)])


def _between(segment: Segment, start: Point, end: Point) -> Segment:
    """The segment with its ends moved a little."""
    if isinstance(segment, Line):
        return Line(start, end)
    if isinstance(segment, Arc):
        if math.dist(segment.start, start) < 1e-9 and math.dist(segment.end, end) < 1e-9:
            return segment
        if start == end:
            return Arc(
                segment.center,
                segment.radius_mm,
                segment.start_rad,
                math.copysign(2.0 * math.pi, segment.sweep_rad),
            )
        return Arc.from_bulge(start, end, segment.bulge)
    (sx, sy), (ex, ey) = segment.start, segment.end
    one, two = segment.control1, segment.control2
    return Cubic(
        start,
        (one[0] + start[0] - sx, one[1] + start[1] - sy),
        (two[0] + end[0] - ex, two[1] + end[1] - ey),
        end,
    )


def _nested(loops: Sequence[tuple[str, Loop, Polygon]]) -> list[tuple[str, Profile]]:
    """Outlines with their holes; a loop in a hole is an outline again."""
    areas = [area for _, _, area in loops]
    grown = [area.buffer(NEST_MM) for area in areas]
    shapely.prepare(grown)
    inside = [
        [
            j
            for j, other in enumerate(areas)
            if j != i and other.area > area.area and grown[j].contains(area)
        ]
        for i, area in enumerate(areas)
    ]
    holes: dict[int, list[Loop]] = {}
    for i, around in enumerate(inside):
        if len(around) % 2:
            parent = min(around, key=lambda j: loops[j][2].area)
            holes.setdefault(parent, []).append(loops[i][1])
    return [
        (layer, Profile(loop, tuple(holes.get(i, ()))))
        for i, (layer, loop, _) in enumerate(loops)
        if len(inside[i]) % 2 == 0
    ]
