"""Transforms of SVG and CSS as 3×3 matrices."""

from __future__ import annotations

import math
import re

import numpy as np

from ...arrays import Matrix
from ...errors import FileError
from .svg_lengths import Frame, length, numbers_in

__all__ = ["transform_matrix"]

ONE = re.compile(r"\s*,?\s*([a-zA-Z]+)\s*\(([^()]*)\)")
WITH_UNIT = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?([a-zA-Z%]+)")
DEGREES_PER = {"deg": 1.0, "grad": 0.9, "rad": 180.0 / math.pi, "turn": 360.0}
"""Units of angle (CSS Values and Units)."""
MOST_CHARACTERS = 2_000
"""Chosen: a matrix has six numbers, a long list of moves a hundred."""


def transform_matrix(text: str, frame: Frame) -> Matrix:
    """Return the matrix of a ``transform``, as attribute or as style.

    Raises
    ------
    FileError
        If any of it is no transform in the plane.
    """
    matrix = np.eye(3)
    at = 0
    text = text.strip()
    if text in ("", "none"):
        return matrix
    while at < len(text) <= MOST_CHARACTERS:
        found = ONE.match(text, at)
        if found is None:
            break
        matrix = matrix @ _one(found[1], found[2], frame)
        at = found.end()
    if at < len(text) or not np.isfinite(matrix).all():
        raise FileError(
            "“{text}” is no transform. The file is damaged; save it again.",
            text=text[:40],
        )
    return matrix


def _one(name: str, inside: str, frame: Frame) -> Matrix:
    kind = name.lower()
    values = _values(kind, inside, frame)
    matrix = np.eye(3)
    count = len(values)
    first, second = (*values, 0.0, 0.0)[:2]
    if kind == "matrix" and count == 6:
        matrix[:2] = np.array(values).reshape(3, 2).T
    elif kind == "translate" and count in (1, 2):
        matrix[:2, 2] = (first, second)
    elif kind in ("translatex", "translatey") and count == 1:
        matrix["xy".index(kind[-1]), 2] = first
    elif kind == "scale" and count in (1, 2):
        matrix[0, 0], matrix[1, 1] = first, second if count == 2 else first
    elif kind in ("scalex", "scaley") and count == 1:
        matrix["xy".index(kind[-1]), "xy".index(kind[-1])] = first
    elif kind == "rotate" and count in (1, 3):
        c, s = math.cos(math.radians(first)), math.sin(math.radians(first))
        x, y = values[1:] if count == 3 else (0.0, 0.0)
        matrix[:2] = [[c, -s, x - c * x + s * y], [s, c, y - s * x - c * y]]
    elif kind in ("skewx", "skewy") and count == 1:
        matrix[(0, 1) if kind == "skewx" else (1, 0)] = math.tan(math.radians(first))
    else:
        raise FileError(
            "“{name}({inside})” is no transform in the plane. The file is damaged; save it again.",
            name=name,
            inside=inside[:40],
        )
    return matrix


def _values(kind: str, inside: str, frame: Frame) -> list[float]:
    """Numbers as they are, lengths in user units, angles in degrees."""
    if not WITH_UNIT.search(inside):
        return numbers_in(inside)
    values = []
    for place, word in enumerate(re.split(r"[\s,]+", inside.strip())):
        unit = WITH_UNIT.fullmatch(word)
        if unit is not None and unit[1].lower() in DEGREES_PER:
            values.append(float(word[: -len(unit[1])]) * DEGREES_PER[unit[1].lower()])
        else:
            direction = "y" if kind.endswith("y") or place % 2 else "x"
            values.append(length(word, frame, direction))
    return values
