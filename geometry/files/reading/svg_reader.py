"""Read paths, circles and straight shapes of an SVG file."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from xml.parsers.expat import ExpatError, ParserCreate

import numpy as np

from ...arrays import Matrix
from ...errors import FileError
from ...intake import open_input
from ...outline import Arc, Line, Segment
from .. import names
from ..drawing import Drawing
from ..layers import OPERATIONS, STANDARD, Layer, Layers, Operation
from .drawn_shapes import number, shapes_from
from .svg_path import path_segments

__all__ = ["MM_PER", "MM_PER_PX", "read_svg", "svg_root"]

MM_PER = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72.0, "pc": 25.4 / 6.0}
"""CSS absolute lengths: 1 in = 25.4 mm = 96 px = 72 pt = 6 pc."""
MM_PER_PX = 25.4 / 96.0
"""96 px to the inch (CSS Values and Units, absolute lengths)."""
MOST_MB = 50
MOST_ELEMENTS = 200_000
"""A drawing for one sheet has a few thousand, in less than one megabyte."""
COLOUR = re.compile(r"#([0-9a-fA-F]{6})")
SILENT = {"title", "desc", "defs", "metadata", "style"}


def read_svg(path: Path) -> Drawing:
    """Return the drawing of an SVG file, in mm, y up."""
    try:
        root = svg_root(path)
    except (ElementTree.ParseError, ExpatError) as error:
        raise FileError(
            "“{name}” is no SVG file or is damaged ({error}). Save it again.",
            name=path.name,
            error=error,
        ) from error
    scale, notes = _scale(root, path.name)
    left, top = (number(w, "data-origin-mm") for w in root.get("data-origin-mm", "0 0").split()[:2])
    loose = list(_elements(root, "", path.name))
    to_mm = _matrix(scale, left, top)
    layers, meanings = _layers(root)
    shapes = [s.transformed(to_mm) for s in shapes_from(loose, meanings)]
    state, kerf = names.kerf_from(root.get("data-kerf", ""))
    title = next((e.text or "" for e in root if _tag(e) == "title"), "")
    descriptions = [e.text or "" for e in root if _tag(e) == "desc"]
    # The first description is the kerf sentence, where the kerf is stated at all.
    written = descriptions[1:] if root.get("data-kerf") else descriptions
    return Drawing(tuple(shapes), title, state, kerf, (*written, *notes), layers)


def _layers(root: ElementTree.Element) -> tuple[Layers, dict[str, Operation]]:
    """What the operations are called in a file with their colours, and what its groups are for."""
    found: dict[str, Layer] = {}
    meanings: dict[str, Operation] = {}
    for group in root.iter():
        name = group.get("id", "")
        said = group.get("data-operation", "")
        for operation in OPERATIONS:
            if _tag(group) == "g" and (said or name) == operation:
                colour = COLOUR.fullmatch(group.get("stroke", ""))
                if said:
                    meanings[name.lower()] = operation
                if colour is not None and operation not in found:
                    red, green, blue = bytes.fromhex(colour[1])
                    found[operation] = Layer(name, (red, green, blue))
    return replace(STANDARD, **found), meanings


def svg_root(path: Path) -> ElementTree.Element:
    """Return the root of an SVG file; parsing errors are the caller's to put into words."""
    with open_input(path, FileError, MOST_MB, "Save the part alone and read that.") as file:
        data = file.read()
    _refuse_entities(data, path.name)
    root = ElementTree.fromstring(data)
    if _tag(root) != "svg":
        raise FileError(
            "“{name}” is no SVG file: it begins with <{tag}>. Choose one that is.",
            name=path.name,
            tag=_tag(root),
        )
    return root


def _refuse_entities(data: bytes, file: str) -> None:
    """Refuse a file that defines its own abbreviations: they can swell to any size.

    And one of more elements than any drawing has.
    """
    elements = 0

    def count(*_: object) -> None:
        nonlocal elements
        elements += 1
        if elements > MOST_ELEMENTS:
            raise FileError(
                "“{file}” holds more than {most:,} elements, more than are read here. "
                "Save the part alone and read that.",
                file=file,
                most=MOST_ELEMENTS,
            )

    def refuse(name: str, *_: object) -> None:
        raise FileError(
            "“{file}” defines an abbreviation “{name}”, which is not read here. Save "
            "it as plain SVG.",
            file=file,
            name=name,
        )

    parser = ParserCreate()
    parser.EntityDeclHandler = refuse
    parser.StartElementHandler = count
    parser.Parse(data, True)


def _tag(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2]


def _matrix(scale: float, left: float, top: float) -> Matrix:
    """Page units, y down, to mm, y up."""
    return np.array([[scale, 0.0, left], [0.0, -scale, top], [0.0, 0.0, 1.0]])


def _scale(root: ElementTree.Element, file: str) -> tuple[float, tuple[str, ...]]:
    """Millimetres per user unit, from the page's width and its viewBox."""
    found = re.fullmatch(r"\s*([-+.\deE]+?)\s*(mm|cm|in|pt|pc|px)?\s*", root.get("width", ""))
    box = root.get("viewBox", "").replace(",", " ").split()
    if found is None or (found[2] in (None, "px") and not box):
        return MM_PER_PX, ("The file names no unit; its numbers are taken as 96 to the inch.",)
    width_mm = number(found[1], f"“{file}”") * MM_PER.get(found[2] or "px", MM_PER_PX)
    if len(box) != 4:
        return MM_PER_PX, ()
    if any(number(w, "viewBox") for w in box[:2]):
        raise FileError(
            "“{file}” has a viewBox that does not start at 0 0, not read here. Save it as "
            "plain SVG.",
            file=file,
        )
    width = number(box[2], "viewBox")
    if not width > 0.0:
        raise FileError(
            "“{file}” has a viewBox without width. The file is damaged; save it again.",
            file=file,
        )
    return width_mm / width, ()


def _elements(
    parent: ElementTree.Element, layer: str, file: str
) -> Iterator[tuple[str, str, Segment]]:
    """Every segment below an element, with the group it is in and its title."""
    for element in parent:
        tag = _tag(element)
        if tag in SILENT:
            continue
        if element.get("transform"):
            raise FileError(
                "“{file}” moves a <{tag}> by a transform, which is not read here. "
                "Apply it and save again.",
                file=file,
                tag=tag,
            )
        if tag == "g":
            yield from _elements(element, element.get("id", layer), file)
            continue
        name = next((child.text or "" for child in element if _tag(child) == "title"), "")
        for segment in _segments(element, tag, file):
            yield layer, name, segment


def _segments(element: ElementTree.Element, tag: str, file: str) -> Iterator[Segment]:
    def value(key: str) -> float:
        return number(element.get(key, "0"), f"“{file}”")

    if tag == "path":
        yield from path_segments(element.get("d", ""))
    elif tag == "circle":
        if not value("r") > 0.0:
            raise FileError(
                "“{file}” has a circle without a radius. The file is damaged; save it again.",
                file=file,
            )
        yield Arc((value("cx"), value("cy")), value("r"), 0.0, -2.0 * math.pi)
    elif tag == "line":
        yield Line((value("x1"), value("y1")), (value("x2"), value("y2")))
    elif tag == "rect":
        x, y, w, h = (value(k) for k in ("x", "y", "width", "height"))
        yield from path_segments(f"M {x} {y} h {w} v {h} h {-w} Z")
    elif tag in ("polyline", "polygon"):
        yield from path_segments(f"M {element.get('points', '')}" + " Z" * (tag == "polygon"))
    else:
        raise FileError(
            "“{file}” holds a <{tag}>, which is not read here: only paths, circles, rectangles "
            "and straight lines are. Turn it into those and save again.",
            file=file,
            tag=tag,
        )
