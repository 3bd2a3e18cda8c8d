"""Sizes written on the outline, and the edges a suggestion is about."""

import bpy

from ..bridge.drawing import Colour, Drawing, Label, Stroke
from ..bridge.sizing import chosen_edges, outline_spots, size_text, whole_edges
from .properties import active_outline

__all__ = ["draw_outline"]

# Okabe and Ito's palette, which people see apart whatever colours they see.
SIZE: Colour = (0.94, 0.89, 0.26)
CHOSEN: Colour = (0.80, 0.47, 0.65)
WHOLE: Colour = (0.34, 0.71, 0.91)
OFF_PX = {"width": (-20.0, -22.0), "height": (10.0, 0.0), "length": (8.0, 8.0)}
BELOW_PX = (8.0, -12.0)


def draw_outline(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    """Draw what the active outline's panel asks for."""
    outline = active_outline(bpy.context)
    if outline is None or not outline.visible_get():
        return Drawing()
    ui_scale = bpy.context.preferences.system.ui_scale
    strokes = []
    edges = chosen_edges(outline, region, view)
    if edges:
        strokes.append(Stroke(tuple(edges), CHOSEN, 4.0 * ui_scale))
    if outline.flatwright_outline.show_whole:
        whole = whole_edges(outline, region, view)
        if whole:
            strokes.append(Stroke(tuple(whole), WHOLE, 1.5 * ui_scale))
    labels = []
    if outline.flatwright_outline.show_sizes:
        for (x, y), size in outline_spots(outline, region, view):
            dx, dy = OFF_PX.get(size.kind, BELOW_PX)
            at = (x + dx * ui_scale, y + dy * ui_scale)
            labels.append(Label(size_text(size), at, SIZE))
    return Drawing(tuple(strokes), tuple(labels))
