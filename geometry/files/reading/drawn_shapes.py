"""Shapes out of the segments a cut drawing holds, each with the operation its layer names."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence

from shapely import Point as ShapelyPoint

from ...errors import FileError
from ...outline import Segment
from ..drawing import Shape
from ..layers import LINES, OPERATIONS, Operation
from ..solid import solid
from .chain import JOIN_MM, chain, chain_closed, is_closed

__all__ = ["number", "shapes_from"]


def shapes_from(
    loose: Iterable[tuple[str, str, Segment]],
    meanings: Mapping[str, Operation] | None = None,
) -> list[Shape]:
    """Return shapes from (layer, name, segment) in file order.

    ``meanings`` are the operations of layers by their names in small letters, as the file says. A
    layer called by an operation's name is taken at its word. Closed shapes of other layers are
    outside or inside by how many others they lie in; open ones are marks.
    """
    by_layer: dict[tuple[str, str], list[Segment]] = {}
    for layer, name, segment in loose:
        by_layer.setdefault((layer, name), []).append(segment)
    known: list[Shape] = []
    unknown: list[tuple[tuple[Segment, ...], str]] = []
    for (layer, name), segments in by_layer.items():
        operation = _operation(layer, meanings or {})
        join_mm = JOIN_MM
        if operation in LINES:
            paths = chain(segments)
        else:
            paths, join_mm = chain_closed(segments)
        for path in paths:
            closed = is_closed(path, join_mm)
            if operation is None and closed:
                unknown.append((path, name))
            else:
                known.append(Shape(path, closed, operation or "mark", name))
    return known + _by_nesting(unknown)


def _operation(layer: str, meanings: Mapping[str, Operation]) -> Operation | None:
    said = meanings.get(layer.lower())
    # A number after the name tells rounds of cutting apart: inside-2.
    plain = re.sub(r"-\d+$", "", layer.lower())
    return said or next((operation for operation in OPERATIONS if plain == operation), None)


def _by_nesting(paths: Sequence[tuple[tuple[Segment, ...], str]]) -> list[Shape]:
    rough = [Shape(path, True, "outside", name) for path, name in paths]
    areas = [solid(s.segments) for s in rough]
    shapes = []
    for i, shape in enumerate(rough):
        tip = ShapelyPoint(shape.segments[0].start)
        around = sum(
            areas[j].contains(tip) and areas[j].area > areas[i].area
            for j in range(len(areas))
            if j != i
        )
        operation: Operation = "inside" if around % 2 else "outside"
        shapes.append(Shape(shape.segments, True, operation, shape.name))
    return shapes


def number(text: str, where: str) -> float:
    """Finite number in a text of a file; ``where`` names its place in the error.

    Raises
    ------
    FileError
        If the text is none.
    """
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise FileError(
            "“{text}” in {where} is no number. The file is damaged; save it again.",
            text=text,
            where=where,
        )
    return value
