"""Doubtful edges over the outline: a dashed band as wide as the edge may be off, with its ±."""

from typing import Any

import bpy

from ....geometry.errors import FlatwrightError
from ....geometry.outline import doubt_band
from ...blender.curves import curve_of, read_profile
from ...blender.drawing import Colour, Label, Stroke
from ...blender.screen import Lines, dashes, joined, region_points
from ...blender.units import show_length
from ...locale.words import hinted
from .doubts import doubtful_edge, open_doubts

__all__ = ["doubt_drawing", "doubt_text"]

# Okabe and Ito's orange; dashes and numbers tell it without colour.
DOUBTED: Colour = (0.90, 0.62, 0.0)
DASH_PX, GAP_PX = 5.0, 4.0
OFF_PX = 10.0


def doubt_text(kept: Any) -> str:
    """Say how far off an edge may be, over what length, and why."""
    if kept.kind == "neck":
        return hinted("Narrow neck: two parts?")
    if kept.kind == "seam":
        return hinted("Seam: two parts?")
    if kept.kind == "open":
        return hinted("Open: part or bench?")
    if kept.kind == "line":
        return hinted("Dark line: one part?")
    off, reach = show_length(kept.off_mm), show_length(kept.reach_mm)
    if kept.kind == "ambiguous":
        return hinted("± {off} over {reach}: two edges", off=off, reach=reach)
    return hinted("± {off} over {reach}: faint", off=off, reach=reach)


def doubt_drawing(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D, scale: float
) -> tuple[list[Stroke], list[Label]]:
    """Bands of an outline's open doubts and their ±, in the viewport's pixels.

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
    labels = []
    for _, kept in open_doubts(thing):
        band = doubt_band(profile, doubtful_edge(kept))
        middle, left, right = (
            region_points(thing.matrix_world, points, region, view)
            for points in (band.middle, band.left, band.right)
        )
        middles += joined(middle)
        sides += dashes(left, DASH_PX * scale, GAP_PX * scale)
        sides += dashes(right, DASH_PX * scale, GAP_PX * scale)
        x, y = middle[len(middle) // 2]
        at = (float(x) + OFF_PX * scale, float(y) + OFF_PX * scale)
        labels.append(Label(f"± {show_length(kept.off_mm)}", at, DOUBTED))
    return [Stroke(middles, DOUBTED, 3.0), Stroke(sides, DOUBTED, 1.5)], labels
