"""The section of a view cut open: every face hatched as drawings hatch it, with name and size.

Parts beside each other are hatched towards opposite sides, and fixtures crosswise, so that they can
be told apart without colours; and all of it is drawn over the view, so that the section can be
read where a graphics driver leaves standing what should be cut away.
"""

import math
from typing import Any

import bpy
import numpy as np

from ...geometry.assembly.cutaway import CutFace, hatching
from ..blender.drawing import Colour, Drawing, Label, Place, Stroke
from ..blender.labels import Box, free_place
from ..blender.screen import Lines, joined, region_points
from ..blender.units import show_sides, to_mm
from .cutaway import Cutaway, cutaway

__all__ = ["cut_drawing", "draw_cut", "fitting_spacing"]

# Okabe and Ito's palette.
PART: Colour = (0.34, 0.71, 0.91)
FIXTURE: Colour = (0.80, 0.47, 0.65)
LINES_ACROSS = 90.0
"""About so many hatching lines would cross the whole view."""
MOST_LINES = 3000
_hatched: dict[tuple[int, float, float], tuple[CutFace, np.ndarray]] = {}


def draw_cut(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    """Draw what the section of this view cuts; nothing where the view is whole."""
    found = cutaway(view)
    if found is None:
        return Drawing()
    spacing_mm = fitting_spacing(to_mm(view.view_distance))
    return cut_drawing(found, spacing_mm, region, view)


def fitting_spacing(across_mm: float) -> float:
    """Millimetres between hatching lines where a view is so far across: 1, 2 or 5 times ten."""
    wanted = max(across_mm, 1e-3) / LINES_ACROSS
    ten = 10.0 ** math.floor(math.log10(wanted))
    return float(next(k * ten for k in (1.0, 2.0, 5.0, 10.0) if k * ten >= wanted))


def cut_drawing(
    found: Cutaway, spacing_mm: float, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> Drawing:
    """Edges, hatching and sizes of every face, in the viewport's pixels.

    Parameters
    ----------
    found, spacing_mm
        The faces that the plane cuts, and how far apart hatching runs.
    region, view
        The viewport that is drawn in.
    """
    strokes: list[Stroke] = []
    labels: list[Label] = []
    taken: list[Box] = []
    largest = sorted(found.faces, key=lambda face: -face.face.area)
    for face in largest:
        is_part = face.body < found.parts
        colour = PART if is_part else FIXTURE
        angles = [math.radians(45.0 if face.body % 2 == 0 else 135.0)]
        if not is_part:
            angles = [math.radians(45.0), math.radians(135.0)]
        lines: Lines = ()
        for angle in angles:
            lines += _shown(_hatch(face, spacing_mm, angle), found, region, view)
        if lines:
            strokes.append(Stroke(lines[:MOST_LINES], colour, 1.0))
        edge: Lines = ()
        for ring in face.rings:
            edge += joined(region_points(found.world, ring, region, view))
        if edge:
            strokes.append(Stroke(edge, colour, 2.0))
        labels += _label(face, found, colour, taken, (region, view))
    return Drawing(tuple(strokes), tuple(labels))


def _hatch(face: CutFace, spacing_mm: float, angle: float) -> np.ndarray:
    """Hatching lines, kept as long as the view is as near."""
    key = (id(face), spacing_mm, angle)
    kept = _hatched.get(key)
    if kept is None:
        if len(_hatched) > 500:
            _hatched.clear()
        kept = _hatched[key] = (face, hatching(face.face, spacing_mm, angle))
    return kept[1]


def _shown(
    lines: np.ndarray, found: Cutaway, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> Lines:
    ends = region_points(found.world, lines.reshape(-1, 2), region, view).reshape(-1, 2, 2)
    seen = ends[np.isfinite(ends).all(axis=(1, 2))]
    return tuple(((a[0], a[1]), (b[0], b[1])) for a, b in seen.tolist())


def _label(
    face: CutFace, found: Cutaway, colour: Colour, taken: list[Box], shown_in: Any
) -> list[Label]:
    """Name and size beside the middle of a face, where there is room for them."""
    region, view = shown_in
    (middle,) = region_points(found.world, np.array([face.middle]), region, view)
    if not np.isfinite(middle).all():
        return []
    at: Place = (float(middle[0]), float(middle[1]))
    scale = bpy.context.preferences.system.ui_scale
    text = f"{found.names[face.body]}  {show_sides((face.length_mm, face.width_mm), digits=5)}"
    place = free_place(text, at, taken, scale)
    return [] if place is None else [Label(text, place, colour)]
