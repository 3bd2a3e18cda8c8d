"""Lines on a part that are drawn, not cut through, such as its lettering.

They are kept with the part's curve, so copies share them, and seen as a curve of their own beneath
the part.
"""

import json
import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import bpy
import numpy as np

from ...geometry.arrays import Point
from ...geometry.outline import Line
from ...geometry.part import Lettering
from .curves import curve_of
from .units import blender_per_mm, to_mm

__all__ = ["lettering_of", "marks_of", "marks_on", "write_marks"]

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
    drawn = bpy.data.curves.new(f"{thing.name} marks", "CURVE")
    drawn.dimensions = "3D"
    scale = blender_per_mm(context.scene)
    for chain in chains:
        spline = drawn.splines.new("POLY")
        spline.points.add(len(chain) - 1)
        flat = np.ones((len(chain), 4))
        flat[:, :2], flat[:, 2] = np.array(chain) * scale, curve.extrude + 0.02 * scale
        spline.points.foreach_set("co", flat.ravel())
    shown = bpy.data.objects.new(f"{thing.name} marks", drawn)
    context.collection.objects.link(shown)
    shown.parent = thing
    shown.hide_select = True
    shown.color = COLOUR


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


def marks_on(scene: bpy.types.Scene, sheet: bpy.types.Object) -> tuple[tuple[Line, ...], ...]:
    """Return the strokes of every piece on a sheet, in the sheet's own mm."""
    found: list[tuple[Line, ...]] = []
    for thing in sorted(sheet.children, key=lambda o: o.name):
        part: bpy.types.Object | None = scene.objects.get(thing.flatwright_sheet.label)
        if thing.flatwright_sheet.role != "PIECE" or part is None:
            continue
        if not isinstance(part.data, bpy.types.Curve):
            continue
        matrix = sheet.matrix_world.inverted() @ thing.matrix_world
        angle = math.atan2(matrix[1][0], matrix[0][0])
        c, s = math.cos(angle), math.sin(angle)
        dx, dy = to_mm(matrix[0][3]), to_mm(matrix[1][3])

        def moved(place: Point, c: float = c, s: float = s, d: Point = (dx, dy)) -> Point:
            x, y = place
            return (round(c * x - s * y + d[0], 6), round(s * x + c * y + d[1], 6))

        for stroke in marks_of(part.data):
            found.append(tuple(Line(moved(line.start), moved(line.end)) for line in stroke))
    return tuple(found)


def _kept(curve: bpy.types.Curve) -> dict[str, Any]:
    text = curve.get(MARKS)
    return json.loads(text) if isinstance(text, str) else {"label": "", "chains": []}
