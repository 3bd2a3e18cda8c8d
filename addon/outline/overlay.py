"""Outlines made visible, what a suggestion is about, sizes, and how far off the hand was."""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import bpy

from ..blender.drawing import Colour, Drawing, Fill, Label, Stroke
from .axis_record import axis_handles
from .axis_shown import AXIS, HAND, axis_drawing
from .hand_error_shown import hand_drawing, outline_fill, outline_strokes
from .properties import active_outline, outline_itself
from .sizes_shown import chosen_edges, outline_spots, size_text, whole_edges
from .tracing.doubts_shown import doubt_drawing

__all__ = ["FOUND", "draw_outline", "hide_while_dragging", "is_dragging"]

# Okabe and Ito's palette, which people see apart whatever colours they see.
SIZE: Colour = (0.94, 0.89, 0.26)
CHOSEN: Colour = (0.80, 0.47, 0.65)
WHOLE: Colour = (0.34, 0.71, 0.91)
FOUND: Colour = (0.34, 0.71, 0.91)
SYMMETRIC: Colour = (0.0, 0.62, 0.45)
OFF: Colour = (0.80, 0.47, 0.65)
# The width beside the middle, where an upright axis has its end.
OFF_PX = {"width": (18.0, -22.0), "height": (10.0, 0.0), "length": (8.0, 8.0)}
BELOW_PX = (8.0, -12.0)
ALPHA, CHOSEN_ALPHA = 0.06, 0.14
"""So faint that photo and grid are seen through it in any shading."""
RING_PX = 9.0
"""Radius of the ring around the worst place."""


_dragging: list[bool] = []


def hide_while_dragging(dragging: bool) -> None:
    """Leave axis and error to the operator that drags the axis, which draws them as they go."""
    _dragging[:] = [True] if dragging else []


def is_dragging() -> bool:
    """Whether that operator waits for the mouse."""
    return bool(_dragging)


def draw_outline(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    """Draw every outline that is not selected, and what the active one's panel asks for."""
    space: Any = bpy.context.space_data
    if not space.overlay.show_overlays:
        return Drawing()
    scale = bpy.context.preferences.system.ui_scale
    strokes = _outlines(region, view)
    fills = tuple(_fills(region, view))
    outline = active_outline(bpy.context)
    if outline is None or not outline.visible_get():
        return Drawing(tuple(strokes), fills=fills)
    edges = chosen_edges(outline, region, view)
    if edges:
        strokes.append(Stroke(tuple(edges), CHOSEN, 4.0))
    settings = outline.flatwright_outline
    if settings.show_whole:
        whole = whole_edges(outline, region, view)
        if whole:
            strokes.append(Stroke(tuple(whole), WHOLE, 1.5))
    labels = []
    own = outline_itself(bpy.context) is not None and outline.mode != "EDIT"
    if own and settings.show_axis and not _dragging:
        handles = axis_handles(outline)
        if handles is not None:
            lines = axis_drawing(outline, handles, region, view, scale).axis
            strokes.extend([Stroke(lines, AXIS, 1.5)] if lines else [])
    if settings.show_deviation and outline.mode != "EDIT" and not _dragging:
        for stroke, label in _off(outline, region, view, scale):
            strokes.append(stroke)
            labels.extend(label)
    bands, numbers = doubt_drawing(outline, region, view, scale)
    strokes += bands
    labels += numbers
    if settings.show_sizes:
        for (x, y), size in outline_spots(outline, region, view):
            dx, dy = OFF_PX.get(size.kind, BELOW_PX)
            at = (x + dx * scale, y + dy * scale)
            labels.append(Label(size_text(size), at, SIZE))
    return Drawing(tuple(strokes), tuple(labels), fills=fills)


def _outlines(region: bpy.types.Region, view: bpy.types.RegionView3D) -> list[Stroke]:
    """Blender draws what is selected in its own colour, and the rest as a thin black line."""
    strokes = []
    for thing in bpy.context.visible_objects:
        settings = thing.flatwright_outline
        if not settings.is_outline or thing.select_get() or thing.mode == "EDIT":
            continue
        lines = outline_strokes(thing, region, view)
        if lines:
            colour = SYMMETRIC if settings.symmetry else FOUND
            strokes.append(Stroke(lines, colour, 1.5))
    return strokes


def _fills(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Iterator[Fill]:
    """A breath of colour inside every outline, more in what is selected: a click there selects."""
    for thing in bpy.context.visible_objects:
        settings = thing.flatwright_outline
        if not settings.is_outline or thing.mode == "EDIT":
            continue
        inside = outline_fill(thing, region, view)
        if inside is not None:
            colour = SYMMETRIC if settings.symmetry else FOUND
            yield Fill(inside, colour, CHOSEN_ALPHA if thing.select_get() else ALPHA)


def _off(
    outline: bpy.types.Object,
    region: bpy.types.Region,
    view: bpy.types.RegionView3D,
    scale: float,
) -> list[tuple[Stroke, list[Label]]]:
    found = hand_drawing(outline, region, view, scale)
    if found is None:
        return []
    drawn: list[tuple[Stroke, list[Label]]] = []
    if found.hand:
        drawn.append((Stroke(found.hand, HAND, 1.0), []))
    if found.enlarged:
        drawn.append((Stroke(found.enlarged, OFF, 2.0), []))
    if found.worst is not None:
        x, y = found.worst
        turns = [2.0 * math.pi * k / 16 for k in range(17)]
        ring = [
            (x + RING_PX * scale * math.cos(t), y + RING_PX * scale * math.sin(t)) for t in turns
        ]
        label = Label(found.words, (x + 1.6 * RING_PX * scale, y - 5.0 * scale), OFF)
        drawn.append((Stroke(tuple(pairwise(ring)), OFF, 2.0), [label]))
    return drawn
