"""Lines on a part that are engraved or scored, not cut through: lettering, and lines kept on it.

They are kept with the part's curve, so copies share them, and seen as curves of their own beneath
the part. Laid out, they are kept with the piece's curve in the same way, so that they go where the
piece is nudged, onto the screen and into files.
"""

import json
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from typing import Any

import bpy
import numpy as np

from ...geometry.errors import PartError
from ...geometry.outline import Line
from ...geometry.outline.curves import segments_from_numbers, segments_to_numbers
from ...geometry.part import Lettering, Mark, engraved
from ...geometry.part.marking import opposite
from ...geometry.records import from_record
from ...geometry.tolerance import SHOWN_FLAT_MM
from ..blender.curves import curve_of
from ..blender.units import blender_per_mm

__all__ = [
    "carry_marks",
    "keep_lines",
    "kept_lines",
    "lettering_of",
    "marks_of",
    "marks_on",
    "show_lines",
    "unknown_lines",
    "write_marks",
]

MARKS = "flatwright_marks"
LINES = "flatwright_lines"
COLOURS = {
    "mark": (0.0, 0.45, 0.7, 1.0),
    "score": (0.8, 0.47, 0.65, 1.0),
    "cut": (0.84, 0.37, 0.0, 1.0),
}
"""Blue, reddish purple and vermilion of Okabe and Ito's palette."""
SIDES = ("upper", "lower")
ABOVE_MM = 0.02
"""So far a line is drawn off its face, to be seen."""

Strokes = Sequence[Sequence[Line]]


def write_marks(
    context: bpy.types.Context, thing: bpy.types.Object, strokes: Strokes, label: str
) -> None:
    """Keep lettering (strokes in mm, in the part's axes) with a part, and show it.

    Parameters
    ----------
    context, thing
        Where it is shown, and the part.
    strokes, label
        The lettering, mm in the part's axes, and what it says.
    """
    chains = [[list(line.start) for line in stroke] + [list(stroke[-1].end)] for stroke in strokes]
    curve = curve_of(thing)
    curve[MARKS] = json.dumps({"label": label, "chains": chains})
    drawn = _drawn(f"{thing.name} marks", engraved(strokes), curve.extrude)
    context.collection.objects.link(_under(thing, drawn, "mark"))


def keep_lines(curve: bpy.types.Curve, marks: Sequence[Mark]) -> None:
    """Keep lines on a part's curve in place of those that were there."""
    curve[LINES] = json.dumps([[m.purpose, m.side, segments_to_numbers(m.segments)] for m in marks])


def show_lines(thing: bpy.types.Object) -> None:
    """Show the lines kept on a part beneath it, in place of those shown before."""
    for child in [o for o in thing.children if o.flatwright_sheet.role == "LINE"]:
        data = curve_of(child)
        bpy.data.objects.remove(child)
        bpy.data.curves.remove(data)
    curve = curve_of(thing)
    for purpose in COLOURS:
        kept = [mark for mark in kept_lines(curve) if mark.purpose == purpose]
        marks = _faced(thing, kept)
        if marks:
            shown = _under(thing, _drawn(f"{thing.name} {purpose}", marks, curve.extrude), purpose)
            shown.flatwright_sheet.role = "LINE"
            for collection in thing.users_collection:
                collection.objects.link(shown)


def carry_marks(
    thing: bpy.types.Object, marks: Sequence[Mark], drawn: bpy.types.Curve | None
) -> bpy.types.Object | None:
    """Keep a part's marks with the piece to cut, and return an object that shows them on it.

    None is returned where there is nothing to show.

    Parameters
    ----------
    thing, marks
        The piece to cut, and the part's marks.
    drawn
        The curve of another copy's, which is shared; None makes one.
    """
    if not marks:
        return None
    if drawn is None:
        keep_lines(curve_of(thing), marks)
        drawn = _drawn(f"{thing.name} marks", marks, 0.0)
    shown = _under(thing, drawn, "mark")
    shown.flatwright_sheet.role = "MARK"
    return shown


def _drawn(name: str, marks: Sequence[Mark], up: float) -> bpy.types.Curve:
    """A curve of marks a little off the faces, which lie ``up`` (Blender units) off the middle."""
    drawn = bpy.data.curves.new(name, "CURVE")
    drawn.dimensions = "3D"
    scale = blender_per_mm()
    for mark in marks:
        places = [segment.flatten(SHOWN_FLAT_MM) for segment in mark.segments]
        chain = np.vstack((*places, mark.segments[-1].end))
        spline = drawn.splines.new("POLY")
        spline.points.add(len(chain) - 1)
        flat = np.ones((len(chain), 4))
        side = 1.0 if mark.side == "upper" else -1.0
        flat[:, :2], flat[:, 2] = chain * scale, side * (up + ABOVE_MM * scale)
        spline.points.foreach_set("co", flat.ravel())
    return drawn


def _under(thing: bpy.types.Object, drawn: bpy.types.Curve, purpose: str) -> bpy.types.Object:
    """An object that moves with ``thing`` and cannot be taken away from it by a click."""
    shown = bpy.data.objects.new(drawn.name, drawn)
    shown.parent = thing
    shown.hide_select = True
    shown.color = COLOURS[purpose]
    return shown


def marks_of(curve: bpy.types.Curve) -> tuple[Mark, ...]:
    """Return the lettering and the lines kept with a curve, in mm in its own axes."""
    strokes = (
        tuple(Line(tuple(a), tuple(b)) for a, b in pairwise(chain))
        for chain in _kept(curve)["chains"]
    )
    return (*engraved(stroke for stroke in strokes if stroke), *kept_lines(curve))


def marks_on(thing: bpy.types.Object) -> tuple[Mark, ...]:
    """Return the marks of a part on the faces it has them on: a mirror image on the other ones."""
    return _faced(thing, marks_of(curve_of(thing)))


def _faced(thing: bpy.types.Object, marks: Sequence[Mark]) -> tuple[Mark, ...]:
    """Marks kept for a part whose upper face comes out good, as this part bears them."""
    if thing.flatwright_part.good_side == "upper":
        return tuple(marks)
    return tuple(replace(mark, side=opposite(mark.side)) for mark in marks)


def kept_lines(curve: bpy.types.Curve) -> tuple[Mark, ...]:
    """Return the lines kept with a curve, in mm in its own axes."""
    text = curve.get(LINES)
    if not isinstance(text, str):
        return ()
    try:
        return from_record(text, _lines, PartError())
    except PartError:
        return ()


def unknown_lines(thing: bpy.types.Object) -> str:
    """What of the lines kept with an object this version does not know; "" for nothing."""
    text = thing.data.get(LINES) if isinstance(thing.data, bpy.types.Curve) else None
    return _unknown(text) if isinstance(text, str) else ""


@lru_cache(maxsize=512)
def _unknown(text: str) -> str:
    try:
        kinds = from_record(text, lambda data: {(row[0], row[1]) for row in data}, PartError())
    except PartError:
        return ""
    named = [pair for pair in kinds if all(isinstance(word, str) for word in pair)]
    known = all(purpose in COLOURS and side in SIDES for purpose, side in named)
    return "" if known else "Lines"


def _lines(data: list[Any]) -> tuple[Mark, ...]:
    found = []
    for purpose, side, numbers in data:
        if purpose not in COLOURS or side not in SIDES or not numbers:
            raise ValueError(purpose, side)
        found.append(Mark(segments_from_numbers(numbers), purpose, side))
    return tuple(found)


def lettering_of(curve: bpy.types.Curve, index: int) -> list[Lettering]:
    """Return the label of a curve as readiness wants it; none where it has no label."""
    kept = _kept(curve)
    if not kept["chains"]:
        return []
    points = np.array([point for chain in kept["chains"] for point in chain])
    low, high = points.min(axis=0), points.max(axis=0)
    middle = (float(low[0] + high[0]) / 2.0, float(low[1] + high[1]) / 2.0)
    return [Lettering(kept["label"], float(high[1] - low[1]), middle, index)]


def _kept(curve: bpy.types.Curve) -> dict[str, Any]:
    text = curve.get(MARKS)
    if not isinstance(text, str):
        return {"label": "", "chains": []}
    try:
        return from_record(text, _marks, PartError())
    except PartError:
        # It is drawn anew when the part is rebuilt.
        return {"label": "", "chains": []}


def _marks(data: dict[str, Any]) -> dict[str, Any]:
    chains = [[(float(x), float(y)) for x, y in chain] for chain in data["chains"]]
    return {**data, "label": str(data["label"]), "chains": [c for c in chains if c]}
