"""Doubtful edges over the outline: a dashed band as wide as the edge may be off, with its ±.

Where not the edge but what lies beside it is in doubt, a dashed ring with the question.
"""

from typing import Any

import bpy

from ....geometry.errors import FlatwrightError
from ....geometry.outline import doubt_band
from ...blender.curves import curve_of, read_profile
from ...blender.drawing import Colour, Label, Stroke
from ...blender.labels import Box, free_place
from ...blender.screen import Lines, dashes, joined, region_points
from ...blender.units import show_length
from ...locale.words import hinted
from .doubts import doubtful_edge, open_doubts

__all__ = ["doubt_drawing", "doubt_text"]

# Okabe and Ito's orange; dashes and numbers tell it without colour.
DOUBTED: Colour = (0.90, 0.62, 0.0)
DASH_PX, GAP_PX = 5.0, 4.0
ABOVE_PX = 14.0
"""So far above a place its words are off the band."""
HINTS = {
    "neck": "Narrow neck: two parts?",
    "seam": "Seam: two parts?",
    "open": "Open: part or bench?",
    "line": "Dark line: one part?",
}
"""What is asked of a place at which the edge that was read may be none."""


def doubt_text(kept: Any) -> str:
    """Say how far off an edge may be, over what length, and why."""
    if kept.kind in HINTS:
        return hinted(HINTS[kept.kind])
    off, reach = show_length(kept.off_mm), show_length(kept.reach_mm)
    if kept.kind == "ambiguous":
        return hinted("± {off} over {reach}: two edges", off=off, reach=reach)
    return hinted("± {off} over {reach}: faint", off=off, reach=reach)


def doubt_drawing(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D, scale: float
) -> tuple[list[Stroke], list[Label]]:
    """Bands of an outline's open doubts and what is said of them, in the viewport's pixels.

    The largest first; what has no room is in the list alone.

    Parameters
    ----------
    thing
        The outline.
    region, view
        The viewport that is drawn in.
    scale
        How large the interface is drawn.
    """
    if not thing.flatwright_outline.open_doubts:
        return [], []
    try:
        profile = read_profile(curve_of(thing))
    except FlatwrightError:
        return [], []
    sides: Lines = ()
    middles: Lines = ()
    labels: list[Label] = []
    taken: list[Box] = []
    for _, kept in sorted(open_doubts(thing), key=lambda one: -one[1].off_mm):
        band = doubt_band(profile, doubtful_edge(kept))
        middle, left, right = (
            region_points(thing.matrix_world, points, region, view)
            for points in (band.middle, band.left, band.right)
        )
        middles += joined(middle)
        sides += dashes(left, DASH_PX * scale, GAP_PX * scale)
        sides += dashes(right, DASH_PX * scale, GAP_PX * scale)
        x, y = middle[len(middle) // 2].tolist()
        text = doubt_text(kept) if kept.kind in HINTS else f"± {show_length(kept.off_mm)}"
        at = free_place(text, (x, y + ABOVE_PX * scale), taken, scale)
        labels += [] if at is None else [Label(text, at, DOUBTED)]
    return [Stroke(middles, DOUBTED, 3.0), Stroke(sides, DOUBTED, 1.5)], labels
