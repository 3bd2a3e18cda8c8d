"""Write a drawing as DXF: true lines, arcs and circles, one layer per operation."""

from __future__ import annotations

import io
import logging
import math
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any, Literal

from shapely import LineString, box, unary_union

from ..arrays import Point
from ..errors import FileError
from ..outline import Arc, Line, Segment
from . import names
from .atomic import check_target, write_whole
from .biarc import without_cubics
from .drawing import OPERATIONS, Drawing, Shape
from .solid import solid
from .verify import Verification, verify

__all__ = ["write_dxf"]

Version = Literal["R2010", "R12"]
SQUARE_MM = 10.0
INSUNITS = {"mm": 4, "in": 1}


def write_dxf(
    path: str | os.PathLike[str],
    drawing: Drawing,
    *,
    version: Version = "R2010",
    unit: Literal["mm", "in"] = "mm",
    entities: Literal["segments", "polylines"] = "segments",
    overwrite: bool = False,
) -> Verification:
    """Write a DXF file, whole or not at all, and return what it was measured to hold.

    Parameters
    ----------
    path
        File to write; its folder must exist.
    drawing
        What to cut, in mm.
    version
        R2010 states its unit. R12 has no place for it and gets a 10 mm measuring square.
    unit
        Unit of the numbers in the file.
    entities
        ``segments`` writes LINE, ARC and CIRCLE; ``polylines`` one polyline with bulges per shape.
        Whole circles are CIRCLE either way, and there is never a SPLINE.
    overwrite
        Whether a file of this name may be replaced.

    Raises
    ------
    FileError
        If the file cannot be written or does not read back as drawn.
    """
    if version not in ("R2010", "R12") or unit not in INSUNITS:
        raise FileError(f"DXF {version} in {unit} is not written here. Use R2010 or R12, mm or in.")
    if entities not in ("segments", "polylines"):
        raise FileError(f"DXF entities are segments or polylines, not {entities}.")
    check_target(path, overwrite, ".dxf")
    square = measuring_square(drawing) if version == "R12" else None
    data = _document(drawing, version, unit, entities == "polylines", square)
    return write_whole(path, data, lambda file: verify(file, drawing), overwrite=overwrite)


def measuring_square(drawing: Drawing) -> Shape:
    """Return a 10 mm square in the waste inside the drawing's box, or else just under it."""
    x0, y0, x1, y1 = drawing.bounds_mm
    parts = unary_union(
        [solid(s.segments).buffer(2.0) for s in drawing.shapes if s.operation == "outside"]
    )
    lines = unary_union([LineString(s.points(0.05)).buffer(1.0) for s in drawing.shapes])
    corner = (x0, y0 - SQUARE_MM - 5.0)
    step = max(2.0, max(x1 - x0, y1 - y0) / 100.0)
    across = range(int((x1 - x0 - SQUARE_MM) / step) + 1) if x1 - x0 >= SQUARE_MM else range(0)
    up = range(int((y1 - y0 - SQUARE_MM) / step) + 1) if y1 - y0 >= SQUARE_MM else range(0)
    free = (
        (x0 + i * step, y0 + j * step)
        for j in up
        for i in across
        if _is_free(x0 + i * step, y0 + j * step, parts, lines)
    )
    x, y = (round(c, 3) for c in next(free, corner))
    corners = [(x, y), (x + SQUARE_MM, y), (x + SQUARE_MM, y + SQUARE_MM), (x, y + SQUARE_MM)]
    sides = [Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]
    return Shape(tuple(sides), True, "mark", names.MEASURE)


def _is_free(x: float, y: float, parts: Any, lines: Any) -> bool:
    square = box(x, y, x + SQUARE_MM, y + SQUARE_MM)
    return not (parts.intersects(square) or lines.intersects(square))


def _document(
    drawing: Drawing, version: Version, unit: str, polylines: bool, square: Shape | None
) -> bytes:
    # ezdxf takes a third of a second to load, which every start of Blender would pay.
    from ezdxf.filemanagement import new

    with _quiet():
        document = new(version)
    document.header["$INSUNITS"] = 0 if version == "R12" else INSUNITS[unit]
    document.header["$MEASUREMENT"] = 1 if unit == "mm" else 0
    for operation in OPERATIONS:
        layer = document.layers.add(operation, color=names.ACI[operation])
        if version != "R12":
            layer.rgb = names.COLOURS[operation]
    said = _said(drawing, unit, square)
    if version != "R12":
        for key, value in said:
            document.header.custom_vars.append(key, value)
    space = document.modelspace()
    writer = _Writer(space, 25.4 if unit == "in" else 1.0, version == "R12")
    for shape in (*((square,) if square else ()), *drawing.shapes):
        writer.shape(shape, polylines)
    if version != "R12":
        x0, y0, x1, y1 = drawing.bounds_mm
        low, high = writer.at((x0, y0)), writer.at((x1, y1))
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
    stream = io.StringIO()
    document.write(stream)
    # R12 has no properties; comments at the top are what every version may carry.
    comments = "".join(f"999\n{k}: {v}\n" for k, v in said) if version == "R12" else ""
    return (comments + stream.getvalue()).encode(document.output_encoding, errors="dxfreplace")


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep ezdxf from warning that R12 has no units: the measuring square is our answer to that."""
    logger = logging.getLogger("ezdxf")
    level = logger.level
    logger.setLevel(logging.ERROR)
    try:
        yield
    finally:
        logger.setLevel(level)


def _said(drawing: Drawing, unit: str, square: Shape | None) -> list[tuple[str, str]]:
    """What the file states about itself."""
    said = [(names.KERF, names.kerf_words(drawing)), (names.UNIT, unit)]
    if drawing.title:
        said.insert(0, (names.TITLE, _one_line(drawing.title)))
    notes = enumerate(drawing.notes, start=1)
    said += [(f"{names.NOTE} {index}", _one_line(note)) for index, note in notes]
    if square:
        x, y = square.segments[0].start
        said.append((names.MEASURE, f"{x!r} {y!r} {SQUARE_MM:g} mm"))
    return said


def _one_line(text: str) -> str:
    """A DXF value ends at the line's end."""
    return " ".join(text.split())[:250]


class _Writer:
    """Adds shapes to a model space, in the file's unit."""

    def __init__(self, space: Any, mm_per_unit: float, old: bool) -> None:
        self.space = space
        self.mm_per_unit = mm_per_unit
        # A millionth of a millimetre; an inch needs two more digits for as much.
        self.digits = 6 if mm_per_unit == 1.0 else 8
        self.old = old

    def length(self, value_mm: float) -> float:
        # Adding zero turns -0.0 into 0.0.
        return round(value_mm / self.mm_per_unit, self.digits) + 0.0

    def at(self, point: Point) -> Point:
        return (self.length(point[0]), self.length(point[1]))

    def shape(self, shape: Shape, polylines: bool) -> None:
        attributes: dict[str, str] = {"layer": shape.operation}
        segments = without_cubics(shape.segments)
        first = segments[0]
        if shape.is_circle and isinstance(first, Arc):
            self._circle(first, attributes)
        elif polylines:
            self._polyline(segments, shape.closed, attributes)
        else:
            for segment in segments:
                self._segment(segment, attributes)

    def _circle(self, arc: Arc, attributes: dict[str, str]) -> None:
        self.space.add_circle(self.at(arc.center), self.length(arc.radius_mm), attributes)

    def _segment(self, segment: Segment, attributes: dict[str, str]) -> None:
        if isinstance(segment, Line):
            self.space.add_line(self.at(segment.start), self.at(segment.end), attributes)
            return
        assert isinstance(segment, Arc)
        # DXF arcs always run counter-clockwise.
        arc = segment if segment.sweep_rad > 0.0 else segment.reversed()
        start = math.degrees(arc.start_rad) % 360.0
        end = math.degrees(arc.start_rad + arc.sweep_rad) % 360.0
        self.space.add_arc(
            self.at(arc.center), self.length(arc.radius_mm), start, end, dxfattribs=attributes
        )

    def _polyline(
        self, segments: Iterable[Segment], closed: bool, attributes: dict[str, str]
    ) -> None:
        sides = [part for s in segments for part in _below_half_turn(s)]
        corners = [(*self.at(s.start), s.bulge if isinstance(s, Arc) else 0.0) for s in sides] + (
            [] if closed else [(*self.at(sides[-1].end), 0.0)]
        )
        add = self.space.add_polyline2d if self.old else self.space.add_lwpolyline
        add(corners, format="xyb", close=closed, dxfattribs=attributes)


def _below_half_turn(segment: Segment) -> list[Segment]:
    """Halve an arc of more than half a turn: its bulge would grow past all digits."""
    if not isinstance(segment, Arc) or abs(segment.sweep_rad) <= math.pi:
        return [segment]
    half = segment.sweep_rad / 2.0
    return [
        Arc(segment.center, segment.radius_mm, segment.start_rad, half),
        Arc(segment.center, segment.radius_mm, segment.start_rad + half, half),
    ]
