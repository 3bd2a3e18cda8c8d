"""The order of cuts on the sheets, and the bridges and lead-ins of their paths."""

import math
from collections.abc import Sequence
from itertools import pairwise

import bpy
import numpy as np

from ...geometry.arrays import Point
from ...geometry.errors import FlatwrightError
from ...geometry.files import Drawing as SheetDrawing
from ...geometry.files import Shape, sheet_drawings
from ...geometry.tolerance import SHOWN_FLAT_MM
from ..blender.drawing import Colour, Drawing, Label, Stroke
from ..blender.screen import dashes, joined, region_points
from ..blender.units import blender_per_mm
from ..state.beside import answer
from ..state.stored import curve_digest, digest
from ..state.things import pieces_of, sheet_objects
from .laid_sheets import hold_rule, laid_sheet

__all__ = ["draw_order", "known_drawing"]

CUT: Colour = (0.84, 0.37, 0.00)
WAY: Colour = (0.34, 0.71, 0.91)
NUMBER: Colour = (0.90, 0.62, 0.00)
"""Vermilion, sky blue and orange of Okabe and Ito's palette."""
MOST_NUMBERS = 120
"""More would lie on each other."""


def draw_order(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    """Draw every sheet's paths as they are cut, numbered, with the ways from one to the next."""
    context = bpy.context
    if not context.scene.flatwright_layout.shows_order:
        return Drawing()
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for sheet in sheet_objects(context):
        if not sheet.visible_get():
            continue
        drawing = known_drawing(context, sheet)
        shapes = drawing.shapes if drawing is not None else ()
        for number, shape in enumerate(shapes, start=1):
            places = region_points(sheet.matrix_world, shape.points(SHOWN_FLAT_MM), region, view)
            strokes.append(Stroke(joined(places), CUT, 1.5))
            x, y = places[0]
            if number <= MOST_NUMBERS and math.isfinite(x) and math.isfinite(y):
                labels.append(Label(str(number), (float(x), float(y)), NUMBER))
        ways = [
            dashes(region_points(sheet.matrix_world, np.array(way), region, view), 6.0, 4.0)
            for way in _ways(shapes)
        ]
        strokes.append(Stroke(tuple(line for way in ways for line in way), WAY, 1.0))
    return Drawing(tuple(strokes), tuple(labels))


def _ways(shapes: Sequence[Shape]) -> list[tuple[Point, Point]]:
    """From where each cut ends to where the next begins."""
    return [(a.segments[-1].end, b.segments[0].start) for a, b in pairwise(shapes)]


def known_drawing(context: bpy.types.Context, sheet: bpy.types.Object) -> SheetDrawing | None:
    """What is cut on a sheet, in its order, if it is worked out for the sheet as it is."""
    settings = context.scene.flatwright_layout
    mark = digest(
        [curve_digest(piece) for piece in pieces_of(sheet)],
        [[tuple(row) for row in piece.matrix_basis] for piece in pieces_of(sheet)],
        (settings.bridges, settings.bridge_mm, settings.lead_mm, blender_per_mm()),
    )
    try:
        rule, laid = hold_rule(context.scene), laid_sheet(context, sheet)
    except FlatwrightError:
        # What is wrong with the sheet is told where it is checked.
        return None

    def work() -> SheetDrawing | None:
        try:
            front, *_ = sheet_drawings(laid, title=laid.name, hold=rule)
        except FlatwrightError:
            return None
        return front

    found = answer(("cut order", sheet.session_uid), mark, lambda: work)
    return found.value if found is not None and found.is_current else None
