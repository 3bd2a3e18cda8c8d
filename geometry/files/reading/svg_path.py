"""The path language of SVG, as lines, arcs and cubics."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator

from ...arrays import Point
from ...errors import FileError
from ...outline import Arc, Cubic, Line, Segment
from .drawn_shapes import number

__all__ = ["path_segments", "quadratic"]

Stretched = Callable[[Point, list[float], Point], Iterator[Segment]]

COMMAND = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)")
NUMBER = r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?"
ONE = re.compile(rf"[\s,]*({NUMBER})")
FLAG = re.compile(r"[\s,]*([01])")
"""A flag of an arc is one digit, and what follows may stand right beside it (SVG 2, 9.3.9)."""
SPACE = " \t\r\n\f"
TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
"""Numbers each command takes (SVG 1.1, 8.3)."""


def path_segments(text: str, stretched: Stretched | None = None) -> Iterator[Segment]:
    """Yield the segments of a path's ``d`` in page units, y down; Z draws its closing line.

    ``stretched`` says what to make of an arc of an ellipse; without it there must be none.

    Raises
    ------
    FileError
        If the text is no path, or holds an arc of an ellipse.
    """
    here: Point = (0.0, 0.0)
    start = here
    last_control: Point | None = None
    last_kind = ""
    for letter, n in _commands(text):
        kind = letter.upper()
        n = _absolute(kind, n, here) if letter.islower() else n
        if kind == "M":
            here = start = (n[0], n[1])
            continue
        end = _end(kind, n, here, start)
        # S and T begin with the mirror image of the control point before, SVG 2 section 9.3.
        mirrored = here
        if last_control and (kind, last_kind) in {
            ("S", "C"), ("S", "S"), ("T", "Q"), ("T", "T"),
        }:  # fmt: skip
            mirrored = (2.0 * here[0] - last_control[0], 2.0 * here[1] - last_control[1])
        last_control = None
        if kind == "A":
            yield from _arc(here, n, end, stretched)
        elif kind in "CS":
            first = (n[0], n[1]) if kind == "C" else mirrored
            last_control = (n[-4], n[-3])
            yield Cubic(here, first, last_control, end)
        elif kind in "QT":
            last_control = (n[0], n[1]) if kind == "Q" else mirrored
            yield quadratic(here, last_control, end)
        elif here != end:
            yield Line(here, end)
        here, last_kind = end, kind


def _commands(text: str) -> Iterator[tuple[str, list[float]]]:
    """Each command with its numbers; repeated numbers repeat the command."""
    text = text.strip(SPACE)
    if text[:1] not in ("M", "m"):
        if text in ("", "none"):
            return
        raise FileError(
            "A path holds text that is no path: “{text}”. The file is damaged; save it again.",
            text=text[:40],
        )
    for letter, rest in COMMAND.findall(text):
        takes = TAKES[letter.upper()]
        numbers = _numbers(rest, letter.upper() == "A")
        if len(numbers) % takes if takes else numbers:
            raise FileError(
                "A path stops in the middle: “{text}”. The file is damaged; save it again.",
                text=text[:40],
            )
        if takes == 0:
            yield letter, []
        elif not numbers:
            raise FileError(
                "A path has “{letter}” without numbers: “{text}”. The file is damaged; "
                "save it again.",
                letter=letter,
                text=text[:40],
            )
        for at in range(0, len(numbers), takes or 1):
            yield letter, numbers[at : at + takes]
            # More pairs after a move are lines.
            letter = {"M": "L", "m": "l"}.get(letter, letter)


def _numbers(text: str, of_arcs: bool) -> list[float]:
    numbers: list[float] = []
    at = 0
    while True:
        is_flag = of_arcs and len(numbers) % 7 in (3, 4)
        found = (FLAG if is_flag else ONE).match(text, at)
        if found is None:
            break
        numbers.append(number(found[1], "a path"))
        at = found.end()
    if text[at:].strip(SPACE + ","):
        raise FileError(
            "A path holds text that is no path: “{text}”. The file is damaged; save it again.",
            text=text[at : at + 40],
        )
    return numbers


def _absolute(kind: str, n: list[float], here: Point) -> list[float]:
    if kind == "H":
        return [n[0] + here[0]]
    if kind == "V":
        return [n[0] + here[1]]
    if kind == "A":
        return [*n[:5], n[5] + here[0], n[6] + here[1]]
    return [value + here[index % 2] for index, value in enumerate(n)]


def _end(kind: str, n: list[float], here: Point, start: Point) -> Point:
    if kind == "Z":
        return start
    if kind == "H":
        return (n[0], here[1])
    if kind == "V":
        return (here[0], n[0])
    return (n[-2], n[-1])


def quadratic(a: Point, b: Point, c: Point) -> Cubic:
    """Cubic that is the quadratic curve of three control points: its degree raised by one, exact.

    Parameters
    ----------
    a, b, c
        The control points.
    """
    return Cubic(
        a,
        (a[0] + 2.0 / 3.0 * (b[0] - a[0]), a[1] + 2.0 / 3.0 * (b[1] - a[1])),
        (c[0] + 2.0 / 3.0 * (b[0] - c[0]), c[1] + 2.0 / 3.0 * (b[1] - c[1])),
        c,
    )


def _arc(
    start: Point, n: list[float], end: Point, stretched: Stretched | None
) -> Iterator[Segment]:
    """Arc from end points to centre, as SVG 2 appendix B.2.4 has it, for circles."""
    rx, ry, _, large, sweep = n[:5]
    chord = math.dist(start, end)
    if chord == 0.0:
        return
    if min(abs(rx), abs(ry)) == 0.0:
        yield Line(start, end)
        return
    if abs(abs(rx) - abs(ry)) > 1e-9 * abs(rx):
        if stretched is not None:
            yield from stretched(start, n, end)
            return
        raise FileError("A path holds an arc of an ellipse. Turn it into curves and save again.")
    # A radius too small for its ends is enlarged until it just reaches.
    half = math.asin(min(chord / (2.0 * abs(rx)), 1.0))
    turn = 2.0 * math.pi - 2.0 * half if large else 2.0 * half
    yield Arc.from_bulge(start, end, math.tan((turn if sweep else -turn) / 4.0))
