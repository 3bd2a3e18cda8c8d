"""Lengths of SVG in user units, and the frame a viewBox is fitted into."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from ...arrays import Matrix
from ...errors import FileError

__all__ = ["ENGLISH_PX_MM", "Frame", "fitting", "length", "numbers_in"]

PX_PER = {
    "": 1.0, "px": 1.0, "in": 96.0, "mm": 96.0 / 25.4, "cm": 960.0 / 25.4, "q": 24.0 / 25.4,
    "pt": 96.0 / 72.0, "pc": 16.0,
}  # fmt: skip
"""CSS absolute lengths: 1 in = 25.4 mm = 96 px = 72 pt = 6 pc; 1 Q = 0.25 mm."""
ENGLISH_PX_MM = 25.4 / 96.0
"""96 px to the inch (CSS Values and Units, absolute lengths)."""
FONT_PX = 16.0
"""What a font measures where nothing says so ("medium" of every browser)."""
LONGEST = 80
"""Characters of a length; the longest numbers that are written have 25."""
LENGTH = re.compile(r"\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?)\s*([a-zA-Z]{1,3}|%)?\s*")
NUMBER = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?")


@dataclass(frozen=True, slots=True)
class Frame:
    """The nearest viewport's width and height, which per cents are of, and the size of letters."""

    width: float
    height: float
    font: float = FONT_PX

    def whole(self, direction: str) -> float:
        """Return what 100 % is along x, along y, or (the diagonal over √2) along neither."""
        diagonal = math.hypot(self.width, self.height) / math.sqrt(2.0)
        return {"x": self.width, "y": self.height}.get(direction, diagonal)


def length(text: str, frame: Frame, direction: str = "") -> float:
    """Length in user units of a text such as "3mm", "50%" or "12".

    Parameters
    ----------
    text
        Number with or without a unit or "%".
    frame
        What percentages are of.
    direction
        "x", "y" or "" for the diagonal.

    Raises
    ------
    FileError
        If the text is no length that is finite.
    """
    found = LENGTH.fullmatch(text) if len(text) <= LONGEST else None
    value = math.nan
    if found is not None:
        unit = (found[2] or "").lower()
        if unit == "%":
            value = float(found[1]) / 100.0 * frame.whole(direction)
        elif unit in ("em", "rem", "ex", "ch"):
            # Half an em stands for the height of an x where no font is at hand (CSS Values 4).
            value = float(found[1]) * frame.font * (0.5 if unit in ("ex", "ch") else 1.0)
        else:
            value = float(found[1]) * PX_PER.get(unit, math.nan)
    if not math.isfinite(value):
        raise FileError(
            "“{text}” is no length. The file is damaged; save it again.",
            text=text[:40],
        )
    return value


def numbers_in(text: str) -> list[float]:
    """Return the numbers of a list, which may stand side by side as in “10-10”.

    Raises
    ------
    FileError
        If the text holds anything else, or a number that is not finite.
    """
    found = [float(number) for number in NUMBER.findall(text)]
    if NUMBER.sub("", text).strip(" ,\t\r\n\f") or not all(map(math.isfinite, found)):
        raise FileError(
            "“{text}” are no numbers. The file is damaged; save it again.",
            text=text[:40],
        )
    return found


def fitting(box: list[float], width: float, height: float, aspect: str) -> Matrix:
    """Return the 3×3 matrix that fits a viewBox into a frame (SVG 2, section 8.2).

    Parameters
    ----------
    box
        The viewBox's left, top, width and height.
    width, height
        The frame, in the units outside.
    aspect
        What ``preserveAspectRatio`` says.
    """
    left, top, across, down = box
    if across <= 0.0 or down <= 0.0:
        return np.eye(3)
    sx, sy = width / across, height / down
    words = aspect.replace("defer", "").split() or ["xMidYMid"]
    dx = dy = 0.0
    if words[0] != "none":
        sx = sy = max(sx, sy) if "slice" in words[1:] else min(sx, sy)
        fraction = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
        dx = (width - across * sx) * fraction.get(words[0][1:4], 0.5)
        dy = (height - down * sy) * fraction.get(words[0][5:8], 0.5)
    return np.array([[sx, 0.0, dx - left * sx], [0.0, sy, dy - top * sy], [0.0, 0.0, 1.0]])
