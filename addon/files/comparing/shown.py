"""The map of deviations over the outline of a cut part, in a viewport."""

import bpy
import numpy as np

from ....geometry.errors import FlatwrightError
from ....geometry.outline.symmetry import fair_factor
from ...blender.drawing import Colour, Drawing, Label, Stroke
from ...blender.screen import region_points
from ...blender.units import show_length
from .gathering import map_of, traced_one

__all__ = ["draw_map"]

# Okabe and Ito's palette, which people see apart whatever colours they see; out and in differ in
# direction too.
TOO_FAR_OUT: Colour = (0.84, 0.37, 0.0)
TOO_FAR_IN: Colour = (0.34, 0.71, 0.91)
LEAST_SIZE_MM = 1.0
LABEL_BESIDE_PX = 16.0
"""Clear of the spokes beside, or a minus is lost among them."""


def draw_map(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    """Draw a spoke at every place of the map, as long as the deviation times a round number."""
    thing = traced_one(bpy.context)
    if thing is None or thing.mode == "EDIT" or not thing.visible_get():
        return Drawing()
    kept = thing.flatwright_compared
    if kept.of == "NONE" or not kept.shows_map:
        return Drawing()
    try:
        rows = map_of(thing)
    except FlatwrightError:
        return Drawing()
    if not len(rows):
        return Drawing()
    places, out, gaps = rows[:, :2], rows[:, 2:4], rows[:, 4]
    size = max(float(np.ptp(places, axis=0).min()), LEAST_SIZE_MM)
    factor = fair_factor(float(np.abs(gaps).max()), size)
    feet = region_points(thing.matrix_world, places, region, view)
    tips = region_points(thing.matrix_world, places + factor * gaps[:, None] * out, region, view)
    seen = np.isfinite(feet).all(axis=1) & np.isfinite(tips).all(axis=1)
    strokes = []
    for colour, chosen in ((TOO_FAR_OUT, seen & (gaps > 0.0)), (TOO_FAR_IN, seen & (gaps <= 0.0))):
        pairs = zip(feet[chosen].tolist(), tips[chosen].tolist(), strict=True)
        lines = tuple(((a[0], a[1]), (b[0], b[1])) for a, b in pairs)
        if lines:
            strokes.append(Stroke(lines, colour, 1.5))
    worst = int(np.argmax(np.abs(gaps)))
    labels = []
    if seen[worst]:
        doubt = show_length(kept.place_doubt_mm)
        words = f"{show_length(float(gaps[worst]), signed=True)} ± {doubt} (×{factor})"
        x, y = tips[worst].tolist()
        labels.append(
            Label(words, (x + LABEL_BESIDE_PX, y), TOO_FAR_OUT if gaps[worst] > 0 else TOO_FAR_IN)
        )
    return Drawing(tuple(strokes), tuple(labels))
