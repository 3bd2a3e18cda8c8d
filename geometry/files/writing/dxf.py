"""Write a drawing as DXF: true lines, arcs and circles, one layer per operation."""

from __future__ import annotations

import io
import logging
import os
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from typing import Any, Literal

from shapely import LineString, box, unary_union

from ...errors import FileError
from ...outline import Line
from .. import names
from ..colour_index import colour_index
from ..drawing import Drawing, Shape
from ..layers import OPERATIONS, STANDING
from ..reading import Verification, verify
from ..solid import solid
from .atomic import check_target, write_whole
from .dxf_entities import Entities
from .rounding import roundings

__all__ = ["document_bytes", "write_dxf"]

Version = Literal["R2010", "R12"]
SQUARES_MM = {"mm": 10.0, "in": 25.4}
"""Sides of the square that stands in for a unit: a centimetre, an inch."""
INSUNITS = {"mm": 4, "in": 1}
SECTION = "  2\nENTITIES\n"
"""Where the entities go in what the library writes."""


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
        R2010 states its unit. R12 has no place for it and gets a measuring square of 10 mm or 1 in.
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
        raise FileError(
            "DXF {version} in {unit} is not written here. Use R2010 or R12, mm or in.",
            version=version,
            unit=unit,
        )
    if entities not in ("segments", "polylines"):
        raise FileError(
            "DXF entities are segments or polylines, not {entities}. Choose one of them.",
            entities=entities,
        )
    check_target(path, overwrite, ".dxf")
    paths = drawing.for_machine()
    square = measuring_square(paths, SQUARES_MM[unit]) if version == "R12" else None
    data = document_bytes(paths, version, unit, entities == "polylines", square)
    return write_whole(path, data, lambda file: verify(file, drawing), overwrite=overwrite)


def measuring_square(drawing: Drawing, side_mm: float) -> Shape:
    """Return a square in the waste inside the drawing's box, or else just under it."""
    x0, y0, x1, y1 = drawing.bounds_mm
    parts = unary_union(
        [solid(s.segments).buffer(2.0) for s in drawing.shapes if s.operation == "outside"]
    )
    lines = unary_union([LineString(s.points(0.05)).buffer(1.0) for s in drawing.shapes])
    corner = (x0, y0 - side_mm - 5.0)
    step = max(2.0, max(x1 - x0, y1 - y0) / 100.0)
    across = range(int((x1 - x0 - side_mm) / step) + 1) if x1 - x0 >= side_mm else range(0)
    up = range(int((y1 - y0 - side_mm) / step) + 1) if y1 - y0 >= side_mm else range(0)
    free = (
        (x, y)
        for y in (y0 + j * step for j in up)
        for x in (x0 + i * step for i in across)
        if _is_free(box(x, y, x + side_mm, y + side_mm), parts, lines)
    )
    x, y = (round(c, 3) for c in next(free, corner))
    corners = [(x, y), (x + side_mm, y), (x + side_mm, y + side_mm), (x, y + side_mm)]
    sides = [Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]
    return Shape(tuple(sides), True, "measure", names.MEASURE)


def _is_free(square: Any, parts: Any, lines: Any) -> bool:
    return not (parts.intersects(square) or lines.intersects(square))


def document_bytes(
    drawing: Drawing,
    version: Version = "R2010",
    unit: str = "mm",
    polylines: bool = False,
    square: Shape | None = None,
) -> bytes:
    """The whole DXF file, not yet read back.

    Parameters
    ----------
    drawing
        What is drawn, in mm.
    version, unit
        "R2010" or "R12"; "mm" or "in".
    polylines
        Whether shapes are polylines with bulges, not single lines and arcs.
    square
        A square of known size to measure the file by, where it names no unit.
    """
    # ezdxf takes a third of a second to load, which every start of Blender would pay.
    from ezdxf.filemanagement import new

    with _quiet():
        document = new(version)
    document.header["$INSUNITS"] = 0 if version == "R12" else INSUNITS[unit]
    document.header["$MEASUREMENT"] = 1 if unit == "mm" else 0
    shapes = (*((square,) if square else ()), *drawing.shapes)
    _add_layers(document, drawing, {shape.operation for shape in shapes})
    said = _said(drawing, unit, square)
    if version != "R12":
        for key, value in said:
            document.header.custom_vars.append(key, value)
    mm_per_unit = 25.4 if unit == "in" else 1.0
    # A millionth of a micrometre; an inch needs two more digits for as much.
    digits = 9 if unit == "mm" else 11
    handles = document.entitydb.handles
    owner = document.modelspace().layout_key
    entities = Entities(int(str(handles), 16), owner, version == "R12", drawing.layers)
    for shape, rounding in zip(shapes, roundings(shapes, digits, mm_per_unit), strict=True):
        entities.shape(shape, rounding, polylines)
    if version != "R12":
        x0, y0, x1, y1 = (round(v / mm_per_unit, digits) for v in drawing.bounds_mm)
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (x0, y0, 0.0), (x1, y1, 0.0)
    # The library numbers what it adds while writing after ours.
    handles.reset(f"{entities.next_handle:X}")
    stream = io.StringIO()
    document.write(stream)
    head, mark, rest = stream.getvalue().partition(SECTION)
    if not mark:
        raise FileError("This DXF library writes its sections in another way. Install ezdxf 1.3.")
    # R12 has no properties; comments at the top are what every version may carry.
    comments = "".join(f"999\n{k}: {v}\n" for k, v in said) if version == "R12" else ""
    return "".join((comments, head, mark, entities.text, rest)).encode(
        document.output_encoding, errors="dxfreplace"
    )


def _add_layers(document: Any, drawing: Drawing, used: Collection[str]) -> None:
    """Add the layers of what is drawn, and those that every file has."""
    for operation in OPERATIONS:
        if operation in STANDING or operation in used:
            meant = drawing.layers.of(operation)
            layer = document.layers.add(meant.name, color=colour_index(meant.colour))
            if document.dxfversion != "AC1009":
                layer.rgb = meant.colour


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
    renamed = drawing.layers.renamed().items()
    said += [(names.layer_key(operation), name) for operation, name in renamed]
    if square:
        x, y = square.segments[0].start
        said.append((names.MEASURE, f"{x!r} {y!r} {SQUARES_MM[unit]:g} mm"))
    return said


def _one_line(text: str) -> str:
    """A DXF value ends at the line's end."""
    return " ".join(text.split())[:250]
