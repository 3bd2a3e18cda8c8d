"""Lines on a part that are drawn, not cut through, such as its lettering.

They are kept with the part's curve, so copies share them, and seen as a curve of their own beneath
the part. Laid out, they are kept with the piece's curve in the same way, so that they go where the
piece is nudged, onto the screen and into files.
"""

import json
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import bpy
import numpy as np

from ...geometry.errors import PartError
from ...geometry.outline import Line, Segment
from ...geometry.part import Lettering
from ...geometry.records import from_record
from ..blender.curves import curve_of
from ..blender.units import blender_per_mm

__all__ = ["carry_marks", "lettering_of", "marks_of", "write_marks"]

MARKS = "flatwright_marks"
COLOUR = (0.0, 0.45, 0.7, 1.0)
"""Blue of Okabe and Ito's palette."""

Strokes = Sequence[Sequence[Line]]


def write_marks(
    context: bpy.types.Context, thing: bpy.types.Object, strokes: Strokes, label: str
) -> None:
    """Keep strokes (mm, in the part's axes) with a part, and show them on its upper face."""
    chains = [[list(line.start) for line in stroke] + [list(stroke[-1].end)] for stroke in strokes]
    curve = curve_of(thing)
    curve[MARKS] = json.dumps({"label": label, "chains": chains})
    drawn = _drawn(f"{thing.name} marks", chains, curve.extrude)
    context.collection.objects.link(_under(thing, drawn))


def carry_marks(
    thing: bpy.types.Object, strokes: Sequence[Sequence[Segment]], drawn: bpy.types.Curve | None
) -> bpy.types.Object | None:
    """Keep a part's strokes with the piece to cut, and return an object that shows them on it.

    ``drawn`` is the curve of another copy's; None is returned where there is nothing to show.
    """
    if not strokes:
        return None
    if drawn is None:
        chains = [[list(s.start) for s in stroke] + [list(stroke[-1].end)] for stroke in strokes]
        curve_of(thing)[MARKS] = json.dumps(
            {"label": thing.flatwright_sheet.label, "chains": chains}
        )
        drawn = _drawn(f"{thing.name} marks", chains, 0.0)
    shown = _under(thing, drawn)
    shown.flatwright_sheet.role = "MARK"
    return shown


def _drawn(name: str, chains: Sequence[Sequence[Sequence[float]]], up: float) -> bpy.types.Curve:
    """A curve of strokes (mm) a little above ``up`` (Blender units)."""
    drawn = bpy.data.curves.new(name, "CURVE")
    drawn.dimensions = "3D"
    scale = blender_per_mm()
    for chain in chains:
        spline = drawn.splines.new("POLY")
        spline.points.add(len(chain) - 1)
        flat = np.ones((len(chain), 4))
        flat[:, :2], flat[:, 2] = np.array(chain) * scale, up + 0.02 * scale
        spline.points.foreach_set("co", flat.ravel())
    return drawn


def _under(thing: bpy.types.Object, drawn: bpy.types.Curve) -> bpy.types.Object:
    """An object that moves with ``thing`` and cannot be taken away from it by a click."""
    shown = bpy.data.objects.new(drawn.name, drawn)
    shown.parent = thing
    shown.hide_select = True
    shown.color = COLOUR
    return shown


def marks_of(curve: bpy.types.Curve) -> tuple[tuple[Line, ...], ...]:
    """Return the strokes kept with a curve, in mm in its own axes."""
    return tuple(
        tuple(Line(tuple(a), tuple(b)) for a, b in pairwise(chain))
        for chain in _kept(curve)["chains"]
    )


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
