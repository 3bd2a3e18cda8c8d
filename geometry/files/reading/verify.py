"""Measure a written file against the drawing it was meant to hold."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ...errors import FileError
from ...outline import Arc, Cubic, Segment
from .. import names
from ..biarc import CURVE_TOLERANCE_MM
from ..colour_index import colour_index, colour_of_index
from ..distance import distance_mm, spread_points
from ..drawing import Drawing, Shape
from ..extent import extent_mm
from ..layers import LINES, OPERATIONS, Operation
from .chain import chain, is_closed
from .readback import read_back
from .side_by_side import side_by_side_mm

__all__ = ["Verification", "verify"]

DXF_TOLERANCE_MM = 1e-3
"""A micrometre: a hundredth of what a machine for sheets repeats."""
SVG_TOLERANCE_MM = 5e-5
"""Six printed decimals, arcs rebuilt from their ends, and how curves are measured."""

ALIKE_MM = 0.02
"""Boxes and lengths this near may belong to the same shape."""


@dataclass(frozen=True, slots=True)
class Verification:
    """What the file was measured to hold.

    ``counts`` are shapes by operation, marks that meet end to end counted as one; ``worst_mm`` is
    the largest distance between a path in the file and the path it stands for.
    """

    counts: dict[Operation, int]
    size_mm: tuple[float, float]
    area_mm2: float
    worst_mm: float
    findings: tuple[str, ...] = ()


def verify(path: str | os.PathLike[str], drawing: Drawing) -> Verification:
    """Read ``path`` and return how near what it makes is to ``drawing``.

    Where the drawing is corrected for a machine, that is undone before.

    Raises
    ------
    FileError
        If a shape is missing, extra, open, on another layer, or off by more than 1 µm in DXF
        (6 µm where a cubic became arcs) or the printed digits in SVG; or if the kerf state differs.
    """
    file = Path(path)
    read = read_back(file)
    shapes, findings = _without_square(read)
    if drawing.machine is not None:
        # What is compared is what comes out: the machine undoes what was done for it.
        shapes = [shape.stretched(drawing.machine.matrix) for shape in shapes]
    if (read.kerf_state, read.kerf_mm) != (drawing.kerf_state, drawing.kerf_mm):
        raise FileError(
            "“{name}” says its kerf is {kerf_words}, and {kerf_words_2} was meant. Save it again.",
            name=file.name,
            kerf_words=names.kerf_words(read),
            kerf_words_2=names.kerf_words(drawing),
        )
    is_dxf = file.suffix.lower() == ".dxf"
    _refuse_other_layers(file, read, drawing, is_dxf)
    base = DXF_TOLERANCE_MM if is_dxf else SVG_TOLERANCE_MM
    worst = 0.0
    curved = 0.0
    for operation in OPERATIONS:
        meant = [s for s in drawing.shapes if s.operation == operation]
        found = [s for s in shapes if s.operation == operation]
        if operation in LINES or not all(s.closed for s in meant):
            meant = _joined(meant, by_name=not is_dxf)
        if len(meant) != len(found):
            raise FileError(
                "“{name}” holds {found_count} shapes to cut as “{operation}”, and "
                "{meant_count} were meant. Save it again.",
                name=file.name,
                found_count=len(found),
                operation=operation,
                meant_count=len(meant),
            )
        for one, other in _pairs(meant, found):
            bent = Cubic if drawing.machine is None else (Cubic, Arc)
            has_curves = is_dxf and any(isinstance(s, bent) for s in one.segments)
            off = _off_mm(one, other, base + (CURVE_TOLERANCE_MM if has_curves else 0.0))
            worst = max(worst, off)
            curved = max(curved, off) if has_curves else curved
    if curved:
        findings.append(f"Free curves were saved as arcs and short lines within {curved:.4f} mm.")
    plain = replace(read, shapes=tuple(shapes))
    return Verification(plain.counts, plain.size_mm, plain.area_mm2, worst, tuple(findings))


def _refuse_other_layers(file: Path, read: Drawing, drawing: Drawing, is_dxf: bool) -> None:
    """Refuse a file whose layers are not called or coloured as meant."""
    for operation in {shape.operation for shape in drawing.shapes}:
        meant, found = drawing.layers.of(operation), read.layers.of(operation)
        # Where a version has no true colour it has the nearest number of its index.
        colours = {meant.colour}
        if is_dxf and found.colour != meant.colour:
            colours.add(colour_of_index(colour_index(meant.colour)))
        if found.name != meant.name or found.colour not in colours:
            raise FileError(
                "“{name}” holds what is “{operation}” on the layer “{found}” in the colour "
                "#{found_colour}, and “{meant}” in #{meant_colour} was meant. Save it again.",
                name=file.name,
                operation=operation,
                found=found.name,
                found_colour=bytes(found.colour).hex(),
                meant=meant.name,
                meant_colour=bytes(meant.colour).hex(),
            )


def _without_square(read: Drawing) -> tuple[list[Shape], list[str]]:
    """Take the measuring square out and check it is the size it says."""
    squares = [s for s in read.shapes if s.name == names.MEASURE]
    shapes = [s for s in read.shapes if s.name != names.MEASURE]
    findings = []
    for square in squares:
        x0, y0, x1, y1 = extent_mm(square.segments)
        side = x1 - x0
        called = {10.0: "10 mm", 25.4: "1 inch"}.get(round(side, 3))
        if called is None or abs(side - (y1 - y0)) > DXF_TOLERANCE_MM:
            raise FileError(
                "The measuring square is {side:.4f} mm wide. Save the file again.",
                side=side,
            )
        findings.append(
            f"This version names no unit, so a {called} square was added on the layer "
            f"“{read.layers.measure.name}” at ({x0:.1f}, {y0:.1f}) mm. Measure it where the file "
            "is opened."
        )
    return shapes, findings


def _joined(paths: Sequence[Shape], by_name: bool) -> list[Shape]:
    """Join marks, or what shared edges left open, end to end: a file does not tell them apart.

    An SVG tells those of one name from those of another.
    """
    loose: dict[str, list[Segment]] = {}
    for path in paths:
        loose.setdefault(path.name if by_name else "", []).extend(path.segments)
    return [
        Shape(path, is_closed(path), paths[0].operation)
        for segments in loose.values()
        for path in chain(segments)
    ]


def _pairs(meant: Sequence[Shape], found: Sequence[Shape]) -> list[tuple[Shape, Shape]]:
    """Match shapes by the boxes they fill and their lengths."""
    if not meant:
        return []
    left = np.array([(*extent_mm(s.segments), s.length_mm) for s in found])
    pairs = []
    for shape in meant:
        wanted = np.array((*extent_mm(shape.segments), shape.length_mm))
        deviations = np.abs(left - wanted).max(axis=1)
        alike = np.flatnonzero(deviations <= deviations.min() + ALIKE_MM)
        best = int(alike[0])
        if len(alike) > 1:
            # The two strokes of an X fill the same box: see which of them it is.
            points = spread_points(shape.segments)
            best = min(
                (int(i) for i in alike),
                key=lambda i: float(distance_mm(points, found[i].segments).max()),
            )
        pairs.append((shape, found[best]))
        left[best] = math.inf
    return pairs


def _off_mm(meant: Shape, found: Shape, tolerance_mm: float) -> float:
    """Largest distance between the two, either way."""
    called = f" of “{meant.name}”" if meant.name else ""
    x, y = meant.segments[0].start
    where = f"The {meant.operation} shape{called} at ({x:.3f}, {y:.3f}) mm"
    if meant.closed != found.closed:
        raise FileError(
            "{where} does not read back closed. Save it again.",
            where=where,
        )
    at_most = side_by_side_mm(meant.segments, found.segments)
    if at_most <= tolerance_mm:
        return at_most
    here, there = spread_points(meant.segments), spread_points(found.segments)
    forth, back = distance_mm(here, found.segments), distance_mm(there, meant.segments)
    worst = max(float(forth.max()), float(back.max()))
    if not worst <= tolerance_mm:
        at = here[forth.argmax()] if forth.max() >= back.max() else there[back.argmax()]
        raise FileError(
            "{where} reads back {worst:.4g} mm off at ({at_x:.3f}, {at_y:.3f}) mm. "
            "The file was not kept; save it again and report this if it stays.",
            where=where,
            worst=worst,
            at_x=at[0],
            at_y=at[1],
        )
    return worst
