"""What is drawn over a part: the tool's path, relief and findings, without Blender.

Colour says what a line is, and so does its pattern: the path is dashed, relief dotted.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..blender.drawing import Colour, Drawing, Label, Place, Stroke

__all__ = ["Note", "Route", "paths_drawing"]

# Okabe and Ito's palette, which people see apart whatever colours they see.
PATH: Colour = (0.34, 0.71, 0.91)
RELIEF: Colour = (0.80, 0.47, 0.65)
CAUTION: Colour = (0.90, 0.62, 0.00)
STOP: Colour = (0.84, 0.37, 0.00)
PATTERNS = {"path": (9.0, 5.0), "relief": (2.5, 3.0)}
"""Drawn and left out in turn, in pixels."""
GOOD: Colour = (0.00, 0.62, 0.45)
COLOURS = {"path": PATH, "relief": RELIEF, "good": GOOD}
MOST_DASHES = 4000
"""Beyond this a line is drawn whole: at that size nobody tells dashes apart."""
SIGN_PX, TEXT_PX, LINE_PX = 8.0, 13.0, 16.0
MOST_NOTES = 40


@dataclass(frozen=True, slots=True, eq=False)
class Route:
    """A line over the viewport, (N, 2) in pixels: "path", "relief", or out of the "good" face."""

    kind: str
    places: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Note:
    """Words at a place; "stop" with a cross, "caution" with a triangle, else in a path's colour."""

    kind: str
    at: Place
    text: str


def paths_drawing(routes: list[Route], notes: list[Note], ui_scale: float = 1.0) -> Drawing:
    """Draw dashed paths, dotted reliefs and signs with their words.

    Parameters
    ----------
    routes, notes
        Dashed paths and dotted reliefs; signs with their words; px.
    ui_scale
        How large the interface is drawn.
    """
    strokes = []
    for kind in ("path", "relief"):
        lines: list[tuple[Place, Place]] = []
        for route in routes:
            if route.kind == kind:
                on, off = (length * ui_scale for length in PATTERNS[kind])
                lines += _dashes(route.places, on, off)
        if lines:
            strokes.append(Stroke(tuple(lines), COLOURS[kind], 1.5))
    for route in routes:
        if route.kind == "good":
            strokes.append(Stroke(tuple(_arrow(route.places, SIGN_PX * ui_scale)), GOOD, 2.0))
    labels: list[Label] = []
    taken: list[Place] = []
    for note in sorted(notes, key=lambda n: n.kind != "stop")[:MOST_NOTES]:
        colour = {"stop": STOP, "caution": CAUTION, **COLOURS}[note.kind]
        x, y = note.at
        sign = _sign(note, SIGN_PX * ui_scale)
        if sign:
            strokes.append(Stroke(tuple(sign), colour, 2.0))
        # Words that would lie on each other go one line down.
        at = (x + TEXT_PX * ui_scale, y - 4.0 * ui_scale)
        while any(abs(at[0] - a) < 90 * ui_scale and abs(at[1] - b) < LINE_PX for a, b in taken):
            at = (at[0], at[1] - LINE_PX * ui_scale)
        taken.append(at)
        labels.append(Label(note.text, at, colour))
    return Drawing(tuple(strokes), tuple(labels))


def _arrow(places: NDArray[np.float64], size: float) -> list[tuple[Place, Place]]:
    """An arrow from the first place to the last."""
    (x, y), (u, v) = places[0].tolist(), places[-1].tolist()
    turn = math.atan2(v - y, u - x)
    tips = [
        (u - size * math.cos(turn + side), v - size * math.sin(turn + side)) for side in (0.5, -0.5)
    ]
    return [((x, y), (u, v)), ((u, v), tips[0]), ((u, v), tips[1])]


def _dashes(places: NDArray[np.float64], on: float, off: float) -> list[tuple[Place, Place]]:
    """Cut a line into dashes of one length, around its corners."""
    steps = np.hypot(*np.diff(places, axis=0).T)
    along = np.concatenate(([0.0], np.cumsum(steps)))
    total = float(along[-1])
    count = math.ceil(total / (on + off)) if math.isfinite(total) else 0
    if not 0 < count <= MOST_DASHES:
        stops = along
        drawn = np.ones(max(len(along) - 1, 0), dtype=bool)
    else:
        begins = np.arange(count) * (on + off)
        stops = np.unique(np.concatenate((along, begins, np.minimum(begins + on, total))))
        drawn = np.mod((stops[:-1] + stops[1:]) / 2.0, on + off) < on
    x, y = (np.interp(stops, along, places[:, axis]) for axis in (0, 1))
    ends = list(zip(x.tolist(), y.tolist(), strict=True))
    return [(ends[i], ends[i + 1]) for i in np.flatnonzero(drawn)]


def _sign(note: Note, size: float) -> list[tuple[Place, Place]]:
    x, y = note.at
    if note.kind == "stop":
        return [
            ((x - size, y - size), (x + size, y + size)),
            ((x - size, y + size), (x + size, y - size)),
        ]
    if note.kind == "caution":
        corners = [(x, y + size), (x - size, y - 0.7 * size), (x + size, y - 0.7 * size)]
        return list(zip(corners, corners[1:] + corners[:1], strict=True))
    return []
