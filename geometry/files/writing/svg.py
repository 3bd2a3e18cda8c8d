"""Write a drawing as SVG: one unit is a millimetre, y points down, a group per operation."""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from ...arrays import Point
from ...errors import FileError
from ...outline import Arc, Cubic, Line, Segment
from ...tolerance import SHOWN_FLAT_MM
from .. import names
from ..drawing import Drawing, Shape
from ..layers import OPERATIONS, Operation
from ..order import depths
from ..reading import Verification, verify
from .atomic import check_target, write_whole
from .rounding import Rounding, roundings

__all__ = ["svg_text", "write_svg"]

DIGITS = 6
"""Decimals of a mm: a nanometre, so that rounding stays below what is measured."""
STEEPEST_RAD = math.pi / 2.0
"""Arcs are written in pieces of at most a quarter turn: SVG finds the centre from the ends, which
loses digits as an arc nears half a turn."""


def write_svg(
    path: str | os.PathLike[str],
    drawing: Drawing,
    *,
    hairline_mm: float = 0.1,
    page_mm: tuple[float, float] | None = None,
    overwrite: bool = False,
) -> Verification:
    """Write an SVG file, whole or not at all, and return what it was measured to hold.

    The page is as large as what is drawn, in mm, and its viewBox makes one unit one millimetre.

    Parameters
    ----------
    path
        Of the file to be.
    drawing
        What is drawn, in mm.
    hairline_mm
        Width of the lines.
    page_mm
        (width, height) of a page whose lower left corner is the drawing's origin, such as the whole
        sheet; None for the box of what is drawn.
    overwrite
        Whether an older file may be replaced.

    Raises
    ------
    FileError
        If the file cannot be written or does not read back as drawn.
    """
    if not (math.isfinite(hairline_mm) and hairline_mm > 0.0):
        raise FileError(
            "The line width is above 0 mm, not {hairline_mm:g} mm. Try 0.1 mm.",
            hairline_mm=hairline_mm,
        )
    check_target(path, overwrite, ".svg")
    data = svg_text(drawing.for_machine(), hairline_mm=hairline_mm, page_mm=page_mm).encode("utf-8")
    return write_whole(path, data, lambda file: verify(file, drawing), overwrite=overwrite)


def svg_text(
    drawing: Drawing,
    *,
    hairline_mm: float = 0.1,
    page_mm: tuple[float, float] | None = None,
    heading: bool = True,
) -> str:
    """Return the SVG document; without the XML heading it can stand inside a page of HTML.

    Parameters
    ----------
    drawing
        What is drawn, in mm.
    hairline_mm
        Width of the lines.
    page_mm
        (width, height) of a page of its own, on which the sheet is drawn too.
    heading
        Whether the XML heading is written.
    """
    x0, y0, x1, y1 = drawing.bounds_mm if page_mm is None else (0.0, 0.0, *page_mm)
    # The page starts on the file's own digits, so what is read back lies where it was drawn.
    page = _UpsideDown(round(x0, DIGITS), round(y1, DIGITS))
    width, height = _text(max(x1 - x0, 1e-3)), _text(max(y1 - y0, 1e-3))
    lines = ['<?xml version="1.0" encoding="UTF-8"?>'] if heading else []
    lines += [
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm"'
        f' height="{height}mm" viewBox="0 0 {width} {height}" overflow="visible"'
        f' data-origin-mm="{_text(page.left)} {_text(page.top)}"'
        f" data-kerf={quoteattr(names.kerf_words(drawing))}>"
    ]
    if drawing.title:
        lines.append(f"<title>{escape(_clean(drawing.title))}</title>")
    lines += [
        f"<desc>{escape(_clean(text))}</desc>" for text in (drawing.kerf_sentence, *drawing.notes)
    ]
    if page_mm is not None and not heading:
        lines.append(page.sheet(drawing, width, height))
    for operation, name, shapes in _groups(drawing):
        colour = "#" + bytes(drawing.layers.of(operation).colour).hex()
        # Said only where the name does not say it.
        plain = drawing.layers.of(operation).name == operation
        means = "" if plain else f' data-operation="{operation}"'
        # An id may stand once in a page, and a page may show several drawings.
        called = "id" if heading else "class"
        lines.append(
            f'<g {called}="{name}"{means} fill="none" stroke="{colour}"'
            f' stroke-width="{_text(hairline_mm)}">'
        )
        lines += [page.element(shape, rounding) for shape, rounding in shapes]
        lines.append("</g>")
    lines.append("</svg>\n")
    return "\n".join(lines)


def _groups(drawing: Drawing) -> Iterator[tuple[Operation, str, list[tuple[Shape, Rounding]]]]:
    """Yield the groups in the order they are to be cut.

    One per operation; where parts lie in holes of others, these come in groups of their own before
    the hole frees them, and the later groups are numbered on: inside-2, outside-2.
    """
    outsides = [i for i, s in enumerate(drawing.shapes) if s.operation == "outside"]
    levels = depths([drawing.shapes[i].segments for i in outsides])
    # A round ends with the last part that lies as deep; the drawing is ordered by depth.
    ends = [i for k, i in enumerate(outsides) if k + 1 == len(levels) or levels[k + 1] < levels[k]]
    rounded = list(zip(drawing.shapes, roundings(drawing.shapes, DIGITS), strict=True))
    start = 0
    for number, end in enumerate(ends or [len(drawing.shapes) - 1], start=1):
        stop = len(drawing.shapes) if end == (ends or [end])[-1] else end + 1
        for operation in OPERATIONS:
            shapes = [s for s in rounded[start:stop] if s[0].operation == operation]
            if shapes:
                name = drawing.layers.of(operation).name
                yield operation, name + (f"-{number}" if number > 1 else ""), shapes
        start = stop


def _text(value: float) -> str:
    """A plain decimal with at most six digits after the point, as SVG and people read it."""
    text = f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _clean(text: str) -> str:
    """Drop control characters, which XML 1.0 cannot hold."""
    return "".join(c for c in text if c >= " " or c in "\t\n")


class _UpsideDown:
    """Turns mm, y up, into page units, y down."""

    def __init__(self, left: float, top: float) -> None:
        self.left, self.top = left, top

    def at(self, point: Point, rounding: Rounding) -> str:
        x, y = rounding.at(point)
        return f"{_text(x - self.left)} {_text(self.top - y)}"

    def sheet(self, drawing: Drawing, width: str, height: str) -> str:
        """What the drawing is cut from: an offcut as it is, a whole sheet as the page.

        Parameters
        ----------
        drawing
            What is written.
        width, height
            Of the page, as text in mm.
        """
        if drawing.offcut is None:
            return f'<rect class="sheet" width="{width}" height="{height}" />'
        rings = (loop.flatten(SHOWN_FLAT_MM) for loop in drawing.offcut.shape.loops)
        places = (
            " ".join(f"{_text(x - self.left)},{_text(self.top - y)}" for x, y in ring)
            for ring in rings
        )
        around = " ".join(f"M {ring} Z" for ring in places)
        return f'<path class="sheet" fill-rule="evenodd" d="{around}" />'

    def element(self, shape: Shape, rounding: Rounding) -> str:
        name = f"<title>{escape(_clean(shape.name))}</title>" if shape.name else ""
        first = shape.segments[0]
        if shape.is_circle and isinstance(first, Arc):
            x, y = self.at(first.center, rounding).split()
            return f'<circle cx="{x}" cy="{y}" r="{_text(first.radius_mm)}">{name}</circle>'
        commands = [f"M {self.at(first.start, rounding)}"]
        for index, segment in enumerate(shape.segments):
            last = shape.closed and index == len(shape.segments) - 1
            # Ending on the very digits of the start, not on what a joint's gap left.
            end = first.start if last else segment.end
            commands += self._commands(segment, end, rounding)
        if shape.closed:
            commands.append("Z")
        return f'<path d="{" ".join(commands)}">{name}</path>'

    def _commands(self, segment: Segment, end: Point, rounding: Rounding) -> list[str]:
        if isinstance(segment, Line):
            return [f"L {self.at(end, rounding)}"]
        if isinstance(segment, Cubic):
            points = (segment.control1, segment.control2, end)
            return [f"C {' '.join(self.at(p, rounding) for p in points)}"]
        count = math.ceil(abs(segment.sweep_rad) / STEEPEST_RAD - 1e-9)
        # With y turned down, counter-clockwise in mm is SVG's sweep 0.
        sweep = 0 if segment.sweep_rad > 0.0 else 1
        radius = _text(segment.radius_mm)
        ends = [segment.point_at(k / count) for k in range(1, count)] + [end]
        return [f"A {radius} {radius} 0 0 {sweep} {self.at(p, rounding)}" for p in ends]
