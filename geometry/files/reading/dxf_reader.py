"""Read LINE, ARC, CIRCLE and polylines of a DXF file."""

from __future__ import annotations

import gc
import io
import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, BinaryIO

from ...arrays import Point
from ...errors import FileError
from ...intake import open_input
from ...outline import Arc, Line, Segment
from .. import names
from ..colour_index import colour_of_index
from ..drawing import Drawing, Shape
from ..layers import LINES, OPERATIONS, STANDARD, Layer, Layers
from .budget import Budget
from .drawn_shapes import number, shapes_from

__all__ = ["dxf_entity_segments", "dxf_errors_as_damage", "dxf_scale", "open_dxf", "read_dxf"]

SURVEY_FOOT_MM = 1_200_000.0 / 3937.0
"""1200/3937 m (Mendenhall Order, 1893)."""
MM_PER_UNIT = {
    1: 25.4, 2: 304.8, 3: 1_609_344.0, 4: 1.0, 5: 10.0, 6: 1e3, 7: 1e6, 8: 25.4e-6, 9: 25.4e-3,
    10: 914.4, 11: 1e-7, 12: 1e-6, 13: 1e-3, 14: 100.0, 15: 1e4, 16: 1e5, 17: 1e12,
    18: 149_597_870_700e3, 19: 9_460_730_472_580_800e3, 20: 30_856_775_814_913_673e3,
    21: SURVEY_FOOT_MM, 22: SURVEY_FOOT_MM / 12.0, 23: SURVEY_FOOT_MM * 3.0,
    24: SURVEY_FOOT_MM * 5280.0,
}  # fmt: skip
"""The published DXF reference's list of $INSUNITS; 0 says nothing. The survey foot is 1200/3937 m
(NIST SP 811), the last astronomical lengths are the IAU's (from memory)."""
MOST_MB = 50
"""A drawing for one sheet has less than one."""
ADVICE = "Save the part alone and read that."
LEAST_BULGE = 1e-12
"""Flatter arcs are lines to a picometre."""


def read_dxf(path: Path) -> Drawing:
    """Return the drawing of a DXF file, in mm."""
    document, said = open_dxf(path, Budget(path.name))
    scale, notes = dxf_scale(document, said)
    loose = [
        (layer, "", segment)
        for entity in document.modelspace()
        for layer, segment in dxf_entity_segments(entity, scale, path.name)
    ]
    state, kerf = names.kerf_from(said.get(names.KERF, ""))
    meanings = names.meanings_from(said)
    shapes = _named_square(shapes_from(loose, meanings), said.get(names.MEASURE, ""))
    written = [said[key] for key in sorted(said) if key.startswith(names.NOTE)]
    title = said.get(names.TITLE, "")
    return Drawing(tuple(shapes), title, state, kerf, (*written, *notes), _layers(document, said))


def _layers(document: Any, said: Mapping[str, str]) -> Layers:
    """What the operations are called in a file, and their colours."""
    found = {}
    for operation in OPERATIONS:
        name = said.get(names.layer_key(operation), operation)
        if name in document.layers:
            layer = document.layers.get(name)
            colour = layer.rgb or colour_of_index(abs(layer.dxf.color))
            found[operation] = Layer(name, (colour[0], colour[1], colour[2]))
    return replace(STANDARD, **found)


def open_dxf(path: Path, budget: Budget) -> tuple[Any, dict[str, str]]:
    """Return the document of a DXF file, and what its comments and properties say."""
    # ezdxf takes a third of a second to load, which every start of Blender would pay.
    from ezdxf.document import Drawing as Document
    from ezdxf.lldxf.const import DXFError

    try:
        with _no_tidying(), open_input(path, FileError, MOST_MB, ADVICE) as file:
            document = Document.load(_counted(_tags(file, path), budget))
    except DXFError as error:
        raise FileError(
            "“{name}” is no DXF file or is damaged. Save it again.",
            name=path.name,
        ) from error
    return document, {**_comments(path), **_properties(document)}


def _tags(file: BinaryIO, path: Path) -> Iterator[Any]:
    """Every tag of a DXF file, written as text or not."""
    from ezdxf.filemanagement import dxf_file_info
    from ezdxf.lldxf.tagger import ascii_tags_loader, binary_tags_loader
    from ezdxf.lldxf.validator import is_binary_dxf_file

    if is_binary_dxf_file(str(path)):
        yield from binary_tags_loader(file.read(), errors="surrogateescape")
        return
    encoding = dxf_file_info(str(path)).encoding
    with io.TextIOWrapper(file, encoding=encoding, errors="surrogateescape") as text:
        yield from ascii_tags_loader(text)


def _counted(tags: Iterator[Any], budget: Budget) -> Iterator[Any]:
    """The tags as they are; entities are counted on the way, so that Esc and limits work."""
    for tag in tags:
        if tag.code == 0:
            budget.spend()
        yield tag


@contextmanager
def dxf_errors_as_damage() -> Iterator[None]:
    """Let what ezdxf finds wrong with an entity be a ValueError, as other damage is."""
    from ezdxf.lldxf.const import DXFError

    try:
        yield
    except DXFError as error:
        raise ValueError(str(error)) from error


@contextmanager
def _no_tidying() -> Iterator[None]:
    """Let Python not look for waste while a great many small things are made, all of them kept."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _comments(path: Path) -> dict[str, str]:
    """“Key: value” lines among the 999 comments at the very top."""
    from ezdxf.lldxf.encoding import decode_dxf_unicode

    said = {}
    with path.open(encoding="cp1252", errors="replace") as file:
        while file.readline().strip() == "999":
            key, _, value = file.readline().strip().partition(": ")
            said[key] = decode_dxf_unicode(value)
    return said


def _properties(document: Any) -> dict[str, str]:
    return {str(key): str(value) for key, value in document.header.custom_vars}


def dxf_scale(document: Any, said: dict[str, str]) -> tuple[float, tuple[str, ...]]:
    """Return millimetres per unit, and what to know where the file does not say."""
    code = document.header.get("$INSUNITS", 0) if document.dxfversion > "AC1009" else 0
    if code in MM_PER_UNIT:
        return MM_PER_UNIT[code], ()
    if said.get(names.UNIT) in ("mm", "in"):
        return (25.4 if said[names.UNIT] == "in" else 1.0), ()
    if code:
        return 1.0, (f"The file's unit, number {code}, is none that is known; it is taken as mm.",)
    return 1.0, ("The file names no unit; its numbers are taken as mm.",)


def dxf_entity_segments(entity: Any, scale: float, file: str) -> Iterator[tuple[str, Segment]]:
    """Yield the segments of a line, arc, circle or flat polyline with its layer, in mm.

    Parameters
    ----------
    entity
        Of ezdxf.
    scale
        Millimetres in a unit of the file.
    file
        Its name, for errors.
    """
    kind, layer = entity.dxftype(), str(entity.dxf.layer)

    def at(point: Any) -> Point:
        x, y = float(point[0]), float(point[1])
        if not (math.isfinite(x) and math.isfinite(y)):
            number("nan", f"“{file}”")
        return (x * scale, y * scale)

    if kind == "LINE":
        yield layer, Line(at(entity.dxf.start), at(entity.dxf.end))
    elif kind == "CIRCLE":
        radius = entity.dxf.radius * scale
        yield layer, Arc(at(entity.dxf.center), radius, 0.0, 2.0 * math.pi)
    elif kind == "ARC":
        start = math.radians(entity.dxf.start_angle)
        sweep = (math.radians(entity.dxf.end_angle) - start) % (2.0 * math.pi)
        # From an angle to itself means all the way round.
        yield (
            layer,
            Arc(at(entity.dxf.center), entity.dxf.radius * scale, start, sweep or 2.0 * math.pi),
        )
    elif kind == "LWPOLYLINE":
        corners = [(at(p), p[2]) for p in entity.get_points("xyb")]
        yield from ((layer, s) for s in _polyline(corners, entity.closed))
    elif kind == "POLYLINE" and entity.is_2d_polyline:
        corners = [(at(v.dxf.location), v.dxf.get("bulge", 0.0)) for v in entity.vertices]
        yield from ((layer, s) for s in _polyline(corners, entity.is_closed))
    else:
        raise FileError(
            "“{file}” holds a {kind} on layer “{layer}”, which is not read here: "
            "only lines, arcs, circles and polylines are. Turn it into those and "
            "save again.",
            file=file,
            kind=kind,
            layer=layer,
        )


def _polyline(corners: list[tuple[Point, float]], closed: bool) -> Iterator[Segment]:
    following = corners[1:] + corners[:1] if closed else corners[1:]
    # An open polyline has one side less than corners.
    for (start, bulge), (end, _) in zip(corners, following, strict=False):
        if start == end:
            continue
        yield Arc.from_bulge(start, end, bulge) if abs(bulge) > LEAST_BULGE else Line(start, end)


def _named_square(shapes: list[Shape], place: str) -> list[Shape]:
    """Name the measuring square, found by the place the file states."""
    if not place:
        return shapes
    x, y = (number(word, "the measuring square's place") for word in place.split()[:2])
    named = []
    for shape in shapes:
        here = shape.operation in LINES and any(
            math.dist(s.start, (x, y)) < 1e-3 for s in shape.segments
        )
        named.append(
            Shape(shape.segments, shape.closed, shape.operation, names.MEASURE) if here else shape
        )
    return named
