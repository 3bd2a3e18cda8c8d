"""Lettering: figures of single strokes, so that a tool can draw a size in one pass each.

Every figure stands on a grid four units wide and six high.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ..arrays import Point
from ..errors import PartError
from ..outline.curves import Line

__all__ = ["Lettering", "lettering_size", "smallest_lettering", "write_figures"]

HEIGHT_UNITS = 6.0
GAP_UNITS = 1.5
DOT_UNITS = 0.6
LEAST_HEIGHT_MM = 2.0

_Strokes = tuple[tuple[Point, ...], ...]
FIGURES: dict[str, tuple[float, _Strokes]] = {
    "0": (4, (((1, 0), (3, 0), (4, 1), (4, 5), (3, 6), (1, 6), (0, 5), (0, 1), (1, 0)),)),
    "1": (2, (((0, 4.5), (1.5, 6), (1.5, 0)),)),
    "2": (4, (((0, 5), (1, 6), (3, 6), (4, 5), (4, 4), (0, 0), (4, 0)),)),
    "3": (
        4,
        (
            ((0, 6), (4, 6), (1.5, 3.5), (3, 3.5), (4, 2.5), (4, 1), (3, 0), (1, 0), (0, 1)),
        ),
    ),
    "4": (4, (((3, 0), (3, 6), (0, 2), (4, 2)),)),
    "5": (4, (((4, 6), (0, 6), (0, 3.5), (3, 3.5), (4, 2.5), (4, 1), (3, 0), (0, 0)),)),
    "6": (
        4,
        (
            ((3.5, 6), (1, 4), (0, 2), (0, 1), (1, 0), (3, 0), (4, 1), (4, 2), (3, 3), (0.5, 3)),
        ),
    ),
    "7": (4, (((0, 6), (4, 6), (1.5, 0)),)),
    "8": (
        4,
        (
            ((1, 3.2), (0, 4), (0, 5), (1, 6), (3, 6), (4, 5), (4, 4), (3, 3.2), (1, 3.2), (0, 2.2),
             (0, 1), (1, 0), (3, 0), (4, 1), (4, 2.2), (3, 3.2)),
        ),
    ),
    "9": (
        4,
        (
            ((0.5, 0), (3, 2), (4, 4), (4, 5), (3, 6), (1, 6), (0, 5), (0, 4), (1, 3), (3.5, 3)),
        ),
    ),
    ".": (DOT_UNITS, (((0, 0), (DOT_UNITS, 0), (DOT_UNITS, DOT_UNITS), (0, DOT_UNITS), (0, 0)),)),
    "-": (3, (((0, 3), (3, 3)),)),
    "+": (3, (((0, 3), (3, 3)), ((1.5, 1.5), (1.5, 4.5)))),
    "/": (2.5, (((0, 0), (2.5, 6)),)),
    " ": (2, ()),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Lettering:
    """A label as marked: its text, its height and middle in mm, and the number of its profile."""

    text: str
    height_mm: float
    place: Point
    profile_index: int = 0


def smallest_lettering(kerf_mm: float) -> float:
    """Return the height in mm under which the strokes of figures run together.

    A figure is six units high and its strokes lie a unit apart and more; one must be wider than
    the tool. Under 2 mm nobody reads it (common practice, no source).
    """
    return max(LEAST_HEIGHT_MM, HEIGHT_UNITS * kerf_mm)


def lettering_size(text: str, height_mm: float) -> tuple[float, float]:
    """Return (width, height) in mm that ``text`` takes."""
    widths = [_figure(sign)[0] for sign in text]
    units = math.fsum(widths) + GAP_UNITS * max(len(text) - 1, 0)
    return units * _scale(height_mm), height_mm


def write_figures(
    text: str, height_mm: float, center: Point = (0.0, 0.0), angle_rad: float = 0.0
) -> tuple[tuple[Line, ...], ...]:
    """Return the strokes of ``text`` about a centre, each a chain of lines in mm.

    Raises
    ------
    PartError
        If the height is no length, or a sign is no figure, point, plus, minus, stroke or space.
    """
    scale = _scale(height_mm)
    width, height = lettering_size(text, height_mm)
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    turn = np.array([[c, -s], [s, c]])
    strokes, x = [], 0.0
    for sign in text:
        advance, figure = _figure(sign)
        for stroke in figure:
            points = (np.array(stroke, dtype=np.float64) + np.array([x, 0.0])) * scale
            points = (points - (width / 2.0, height / 2.0)) @ turn.T + center
            corners: list[Point] = [(float(px), float(py)) for px, py in points]
            strokes.append(tuple(Line(a, b) for a, b in pairwise(corners)))
        x += advance + GAP_UNITS
    return tuple(strokes)


def _figure(sign: str) -> tuple[float, _Strokes]:
    if sign not in FIGURES:
        raise PartError(
            "“{sign}” cannot be lettered; use figures and . + - / only.",
            sign=sign,
        )
    return FIGURES[sign]


def _scale(height_mm: float) -> float:
    if not (math.isfinite(height_mm) and height_mm > 0.0):
        raise PartError(
            "Lettering needs a height above 0 mm, not {height_mm:g}.",
            height_mm=height_mm,
        )
    return height_mm / HEIGHT_UNITS
