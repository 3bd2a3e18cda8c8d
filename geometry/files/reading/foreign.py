"""Every segment other people's DXF and SVG files hold, and what they hold besides."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ElementTree
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.parsers.expat import ExpatError

import numpy as np

from ...arrays import Matrix
from ...errors import FileError
from ...outline import Arc, Cubic, Line, Segment
from .dxf_reader import dxf_entity_segments, dxf_scale, open_dxf
from .ellipses import elliptic_arc, transformed
from .readback import number
from .svg_path import path_segments, quadratic
from .svg_reader import MM_PER, MM_PER_PX, svg_root

__all__ = ["Foreign", "read_foreign_dxf", "read_foreign_svg"]

SILENT = {
    "title", "desc", "defs", "metadata", "style", "clipPath", "mask", "symbol", "marker",
    "linearGradient", "radialGradient", "pattern", "script", "namedview", "filter",
}  # fmt: skip
TRANSFORM = re.compile(r"([a-zA-Z]+)\s*\(([^)]*)\)")


@dataclass(slots=True)
class Foreign:
    """Loose segments in mm with their layers; what was left out, counted; what to know."""

    loose: list[tuple[str, Segment]] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    notes: list[str] = field(default_factory=list)


def read_foreign_dxf(path: Path, mm_per_unit: float | None) -> Foreign:
    """Return what the model space of a DXF file holds, blocks taken apart."""
    from ezdxf.disassemble import recursive_decompose

    document, said = open_dxf(path)
    found = Foreign()
    scale, notes = dxf_scale(document, said)
    if mm_per_unit is not None:
        scale = mm_per_unit
    else:
        found.notes.extend(notes)
    for entity in recursive_decompose(document.modelspace()):
        kind, layer = entity.dxftype(), str(entity.dxf.get("layer", "0"))
        segments = list(_dxf_segments(entity, scale, path.name))
        if segments:
            found.loose.extend((layer, s) for s in segments)
        else:
            found.left_out[kind.lower()] += 1
    return found


def _dxf_segments(entity: Any, scale: float, file: str) -> Iterator[Segment]:
    kind = entity.dxftype()
    up = float(entity.dxf.get("extrusion", (0.0, 0.0, 1.0))[2])
    if abs(up) < 0.999999 and kind != "LINE":
        return
    if kind in ("LINE", "CIRCLE", "ARC", "LWPOLYLINE") or (
        kind == "POLYLINE" and entity.is_2d_polyline
    ):
        # Seen from below, x runs the other way (the DXF reference's arbitrary axis algorithm).
        flip = np.diag([-1.0, 1.0, 1.0]) if up < 0.0 and kind != "LINE" else np.eye(3)
        for _, segment in dxf_entity_segments(entity, scale, file):
            yield segment.transformed(flip)
    elif kind in ("SPLINE", "ELLIPSE"):
        yield from _dxf_curve(entity, scale, file)


def _dxf_curve(entity: Any, scale: float, file: str) -> Iterator[Segment]:
    from ezdxf.path import make_path

    if entity.dxftype() == "ELLIPSE":
        yield from _dxf_ellipse(entity, scale)
        return
    path = make_path(entity)

    def at(point: Any) -> tuple[float, float]:
        where = f"“{file}”"
        return (number(str(point.x), where) * scale, number(str(point.y), where) * scale)

    here = at(path.start)
    for command in path.commands():
        end = at(command.end)
        step: Any = command
        if hasattr(step, "ctrl1"):
            yield Cubic(here, at(step.ctrl1), at(step.ctrl2), end)
        elif hasattr(step, "ctrl"):
            yield quadratic(here, at(step.ctrl), end)
        elif here != end:
            yield Line(here, end)
        here = end


def _dxf_ellipse(entity: Any, scale: float) -> Iterator[Segment]:
    """The unit circle stretched along both axes; a true arc where they are equal."""
    center, axis = entity.dxf.center, entity.dxf.major_axis
    start, end = float(entity.dxf.start_param), float(entity.dxf.end_param)
    # From a parameter to itself means all the way round.
    sweep = (end - start) % (2.0 * math.pi)
    sweep = sweep if sweep > 1e-9 else 2.0 * math.pi
    ratio = float(entity.dxf.ratio) * (1.0 if entity.dxf.extrusion[2] > 0.0 else -1.0)
    stretch = np.array(
        [[axis.x, -axis.y * ratio, center.x], [axis.y, axis.x * ratio, center.y], [0.0, 0.0, 1.0]]
    )
    yield from transformed(Arc((0.0, 0.0), 1.0, start, sweep), np.diag([scale, scale, 1]) @ stretch)


def read_foreign_svg(path: Path, mm_per_unit: float | None) -> Foreign:
    """Return what an SVG file shows, transforms applied, y up."""
    try:
        root = svg_root(path)
    except (ElementTree.ParseError, ExpatError) as error:
        raise FileError(
            "“{name}” is no SVG file or is damaged ({error}).",
            name=path.name,
            error=error,
        ) from error
    found = Foreign()
    scale, notes = _svg_scale(root, path.name)
    if mm_per_unit is not None:
        scale, notes = mm_per_unit, []
    found.notes.extend(notes)
    _walk(root, np.diag([scale, -scale, 1.0]), "", path.name, found)
    return found


def _svg_scale(root: ElementTree.Element, file: str) -> tuple[float, list[str]]:
    """Millimetres per user unit; a viewBox fits into the page by its tighter side."""
    assumed = "The file names no unit; its numbers are taken as 96 to the inch."
    box = [number(w, "viewBox") for w in root.get("viewBox", "").replace(",", " ").split()]
    scales = []
    real = False
    for key, side in (("width", 2), ("height", 3)):
        size = re.fullmatch(r"\s*([-+.\deE]+?)\s*(mm|cm|in|pt|pc|px)?\s*", root.get(key, ""))
        if size is None:
            continue
        real = real or size[2] not in (None, "px")
        mm = number(size[1], f"“{file}”") * MM_PER.get(size[2] or "px", MM_PER_PX)
        if len(box) == 4 and box[side] > 0.0 and mm > 0.0:
            scales.append(mm / box[side])
    if scales:
        return min(scales), [] if real else [assumed]
    return MM_PER_PX, [] if real else [assumed]


def _walk(
    parent: ElementTree.Element, matrix: Matrix, layer: str, file: str, found: Foreign
) -> None:
    for element in parent:
        tag = element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""
        hidden = "display:none" in element.get("style", "").replace(" ", "")
        if not tag or tag in SILENT or hidden or element.get("display") == "none":
            continue
        here = matrix @ _transform(element.get("transform", ""))
        if tag in ("g", "a", "switch", "svg"):
            _walk(element, here, element.get("id", layer), file, found)
            continue
        segments = list(_svg_segments(element, tag, file))
        found.loose.extend((layer, t) for s in segments for t in transformed(s, here))
        if not segments:
            found.left_out[tag] += 1


def _svg_segments(element: ElementTree.Element, tag: str, file: str) -> Iterator[Segment]:
    def value(key: str, other: str = "0") -> float:
        return number(re.sub(r"px$", "", element.get(key, other)), f"“{file}”")

    if tag == "path":
        yield from path_segments(element.get("d", ""), elliptic_arc)
    elif tag in ("circle", "ellipse"):
        rx = value("r" if tag == "circle" else "rx")
        ry = rx if tag == "circle" else value("ry")
        if rx > 0.0 and ry > 0.0:
            stretch = np.array([[1.0, 0.0, value("cx")], [0.0, ry / rx, value("cy")], [0, 0, 1.0]])
            yield from transformed(Arc((0.0, 0.0), rx, 0.0, 2.0 * math.pi), stretch)
    elif tag == "line":
        yield Line((value("x1"), value("y1")), (value("x2"), value("y2")))
    elif tag == "rect":
        x, y, w, h = (value(k) for k in ("x", "y", "width", "height"))
        rx = value("rx", element.get("ry", "0"))
        ry = value("ry", element.get("rx", "0"))
        yield from path_segments(_rectangle(x, y, w, h, rx, ry), elliptic_arc)
    elif tag in ("polyline", "polygon"):
        yield from path_segments(f"M {element.get('points', '')}" + " Z" * (tag == "polygon"))


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


def _transform(text: str) -> Matrix:
    """3×3 matrix of an SVG ``transform`` list."""
    matrix = np.eye(3)
    for name, inside in TRANSFORM.findall(text):
        n = [number(w, "a transform") for w in inside.replace(",", " ").split()]
        matrix = matrix @ _one_transform(name, n)
    return matrix


def _one_transform(name: str, n: list[float]) -> Matrix:
    matrix = np.eye(3)
    if name == "matrix" and len(n) == 6:
        matrix[:2] = np.array(n).reshape(3, 2).T
    elif name == "translate" and n:
        matrix[:2, 2] = (n[0], n[1] if len(n) > 1 else 0.0)
    elif name == "scale" and n:
        matrix[0, 0], matrix[1, 1] = n[0], n[1] if len(n) > 1 else n[0]
    elif name == "rotate" and n:
        c, s = math.cos(math.radians(n[0])), math.sin(math.radians(n[0]))
        x, y = (n[1], n[2]) if len(n) > 2 else (0.0, 0.0)
        matrix[:2] = [[c, -s, x - c * x + s * y], [s, c, y - s * x - c * y]]
    elif name in ("skewX", "skewY") and n:
        place = (0, 1) if name == "skewX" else (1, 0)
        matrix[place] = math.tan(math.radians(n[0]))
    else:
        raise FileError(
            "“{name}” is no transform that SVG knows. The file is damaged.",
            name=name,
        )
    return matrix
