"""Lettering: figures and capitals of single strokes, so that a tool draws each in one pass.

Every figure stands on a grid four units wide and six high.
"""

import math
import unicodedata
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ..arrays import Point
from ..errors import PartError
from ..outline.curves import Line

__all__ = ["Lettering", "letterable", "lettering_size", "smallest_lettering", "write_figures"]

HEIGHT_UNITS = 6.0
"""Figures are drawn on a grid six units high."""
GAP_UNITS = 1.5
"""Between figures: a quarter of their height."""
DOT_UNITS = 0.6
LEAST_HEIGHT_MM = 2.0
"""Smaller figures are not read without a lens. Common practice, no source."""

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
    "_": (3, (((0, 0), (3, 0)),)),
    "(": (1.5, (((1.5, 6), (0, 4.5), (0, 1.5), (1.5, 0)),)),
    ")": (1.5, (((0, 6), (1.5, 4.5), (1.5, 1.5), (0, 0)),)),
    "A": (4, (((0, 0), (2, 6), (4, 0)), ((0.67, 2), (3.33, 2)))),
    "B": (4, (((0, 0), (0, 6), (3, 6), (4, 5), (4, 4), (3, 3), (0, 3)),
              ((3, 3), (4, 2), (4, 1), (3, 0), (0, 0)))),
    "C": (4, (((4, 5), (3, 6), (1, 6), (0, 5), (0, 1), (1, 0), (3, 0), (4, 1)),)),
    "D": (4, (((0, 0), (0, 6), (2.5, 6), (4, 4.5), (4, 1.5), (2.5, 0), (0, 0)),)),
    "E": (3.5, (((3.5, 6), (0, 6), (0, 0), (3.5, 0)), ((0, 3), (2.5, 3)))),
    "F": (3.5, (((3.5, 6), (0, 6), (0, 0)), ((0, 3), (2.5, 3)))),
    "G": (4, (((4, 5), (3, 6), (1, 6), (0, 5), (0, 1), (1, 0), (4, 0), (4, 2.5), (2, 2.5)),)),
    "H": (4, (((0, 0), (0, 6)), ((4, 0), (4, 6)), ((0, 3), (4, 3)))),
    "I": (2, (((1, 0), (1, 6)), ((0, 0), (2, 0)), ((0, 6), (2, 6)))),
    "J": (3.5, (((3.5, 6), (3.5, 1), (2.5, 0), (1, 0), (0, 1)),)),
    "K": (4, (((0, 0), (0, 6)), ((4, 6), (0, 2.5)), ((1.6, 3.9), (4, 0)))),
    "L": (3.5, (((0, 6), (0, 0), (3.5, 0)),)),
    "M": (5, (((0, 0), (0, 6), (2.5, 2.5), (5, 6), (5, 0)),)),
    "N": (4, (((0, 0), (0, 6), (4, 0), (4, 6)),)),
    "O": (5, (((1.5, 0), (3.5, 0), (5, 1.5), (5, 4.5), (3.5, 6), (1.5, 6), (0, 4.5), (0, 1.5),
               (1.5, 0)),)),
    "P": (4, (((0, 0), (0, 6), (3, 6), (4, 5), (4, 3.5), (3, 2.5), (0, 2.5)),)),
    "Q": (5, (((1.5, 0), (3.5, 0), (5, 1.5), (5, 4.5), (3.5, 6), (1.5, 6), (0, 4.5), (0, 1.5),
               (1.5, 0)), ((3, 2), (5, 0)))),
    "R": (4, (((0, 0), (0, 6), (3, 6), (4, 5), (4, 3.5), (3, 2.5), (0, 2.5)), ((2, 2.5), (4, 0)))),
    "S": (4, (((4, 5), (3, 6), (1, 6), (0, 5), (0, 4), (1, 3), (3, 3), (4, 2), (4, 1), (3, 0),
               (1, 0), (0, 1)),)),
    "T": (4, (((2, 0), (2, 6)), ((0, 6), (4, 6)))),
    "U": (4, (((0, 6), (0, 1), (1, 0), (3, 0), (4, 1), (4, 6)),)),
    "V": (4, (((0, 6), (2, 0), (4, 6)),)),
    "W": (5, (((0, 6), (1.25, 0), (2.5, 4), (3.75, 0), (5, 6)),)),
    "X": (4, (((0, 0), (4, 6)), ((0, 6), (4, 0)))),
    "Y": (4, (((0, 6), (2, 3), (4, 6)), ((2, 3), (2, 0)))),
    "Z": (4, (((0, 6), (4, 6), (0, 0), (4, 0)),)),
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


def letterable(name: str) -> str:
    """Return a name in the signs there are: capitals without accents, figures, a few signs.

    What has no figure becomes a space; an empty text comes back where nothing is left.
    """
    spelled = name.replace("ß", "ss").replace(":", ".").replace(",", ".")
    plain = unicodedata.normalize("NFKD", spelled).upper()
    signs = (sign for sign in plain if not unicodedata.combining(sign))
    return " ".join("".join(sign if sign in FIGURES else " " for sign in signs).split())


def lettering_size(text: str, height_mm: float) -> tuple[float, float]:
    """Return (width, height) in mm that ``text`` takes."""
    widths = [_figure(sign)[0] for sign in text]
    units = math.fsum(widths) + GAP_UNITS * max(len(text) - 1, 0)
    return units * _scale(height_mm), height_mm


def write_figures(
    text: str, height_mm: float, center: Point = (0.0, 0.0), angle_rad: float = 0.0
) -> tuple[tuple[Line, ...], ...]:
    """Return the strokes of ``text`` about a centre, each a chain of lines in mm.

    Parameters
    ----------
    text
        Figures and + - . / only.
    height_mm
        Of the figures.
    center
        (x, y) mm of the text's middle.
    angle_rad
        Of the line of text, counter-clockwise from x.

    Raises
    ------
    PartError
        If the height is no length, or a sign has no figure, see `letterable`.
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
            "“{sign}” cannot be lettered; use capitals A to Z, figures and . + - / _ ( ) only.",
            sign=sign,
        )
    return FIGURES[sign]


def _scale(height_mm: float) -> float:
    if not (math.isfinite(height_mm) and height_mm > 0.0):
        raise PartError(
            "Lettering needs a height above 0 mm, not {height_mm:g}. Type it again.",
            height_mm=height_mm,
        )
    return height_mm / HEIGHT_UNITS
