"""The basic shapes of SVG as edges in user units."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable, Iterator, Mapping

import numpy as np

from ...errors import FileError
from ...outline import Arc, Line, Segment
from .ellipses import elliptic_arc, transformed
from .svg_lengths import Frame, length, numbers_in
from .svg_path import path_segments

__all__ = ["SHAPES", "shape_edges"]

SHAPES = {"path", "circle", "ellipse", "line", "rect", "polyline", "polygon"}


def shape_edges(
    element: ElementTree.Element, tag: str, style: Mapping[str, str], frame: Frame
) -> Iterator[Segment]:
    """Yield the edges of a basic shape; none where it is empty.

    Parameters
    ----------
    element, tag
        The shape and its name.
    style
        What holds for it: attributes and style sheets may say its size.
    frame
        What per cents and ems are of.
    """

    def value(key: str, direction: str = "", other: str = "0") -> float:
        text = style.get(key) or element.get(key) or other
        return length(other if text == "auto" else text, frame, direction)

    if tag == "path":
        d = style.get("d", element.get("d", ""))
        yield from path_segments(_plain_path(d), elliptic_arc)
    elif tag == "circle":
        yield from _ellipse(value("cx", "x"), value("cy", "y"), value("r"), value("r"))
    elif tag == "ellipse":
        rx, ry = _radii(value, style, element)
        yield from _ellipse(value("cx", "x"), value("cy", "y"), rx, ry)
    elif tag == "line":
        start = (value("x1", "x"), value("y1", "y"))
        end = (value("x2", "x"), value("y2", "y"))
        if start != end:
            yield Line(start, end)
    elif tag == "rect":
        rx, ry = _radii(value, style, element)
        sides = (value("x", "x"), value("y", "y"), value("width", "x"), value("height", "y"))
        yield from path_segments(_rectangle(*sides, rx, ry), elliptic_arc)
    else:
        yield from _corners(element.get("points", ""), tag == "polygon")


def _plain_path(text: str) -> str:
    """The commands within ``path("…")``, as style sheets write them."""
    text = text.strip()
    if text.startswith("path(") and text.endswith(")"):
        return text[5:-1].strip().strip("\"'")
    return text


def _radii(
    value: Callable[..., float], style: Mapping[str, str], element: ElementTree.Element
) -> tuple[float, float]:
    """Both radii; one that is not given, or “auto”, is the other."""
    given = {key: style.get(key, element.get(key, "auto")).strip() for key in ("rx", "ry")}
    rx = value("rx", "x") if given["rx"] not in ("auto", "") else None
    ry = value("ry", "y") if given["ry"] not in ("auto", "") else None
    first = rx if rx is not None else ry if ry is not None else 0.0
    return first, ry if ry is not None else first


def _ellipse(x: float, y: float, rx: float, ry: float) -> Iterator[Segment]:
    if rx > 0.0 and ry > 0.0:
        stretch = np.array([[1.0, 0.0, x], [0.0, ry / rx, y], [0.0, 0.0, 1.0]])
        yield from transformed(Arc((0.0, 0.0), rx, 0.0, 2.0 * math.pi), stretch)


def _corners(text: str, closed: bool) -> Iterator[Segment]:
    numbers = numbers_in(text)
    if len(numbers) % 2:
        raise FileError("A corner has only one number. The file is damaged; save it again.")
    corners = list(zip(numbers[::2], numbers[1::2], strict=True))
    following = corners[1:] + corners[:1] if closed else corners[1:]
    # An open line has one side less than corners.
    yield from (Line(a, b) for a, b in zip(corners, following, strict=False) if a != b)


def _rectangle(x: float, y: float, w: float, h: float, rx: float, ry: float) -> str:
    rx, ry = min(rx, w / 2.0), min(ry, h / 2.0)
    if w <= 0.0 or h <= 0.0:
        return ""
    if rx <= 0.0 or ry <= 0.0:
        return f"M {x} {y} h {w} v {h} h {-w} Z"
    turn = f"a {rx} {ry} 0 0 1"
    a, b = w - 2.0 * rx, h - 2.0 * ry
    return (
        f"M {x + rx} {y} h {a} {turn} {rx} {ry} v {b} {turn} {-rx} {ry} "
        f"h {-a} {turn} {-rx} {-ry} v {-b} {turn} {rx} {-ry} Z"
    )
