"""Where the signs of the sheets lie in a viewport."""

import bpy
import numpy as np
from bpy_extras.view3d_utils import location_3d_to_region_2d
from mathutils import Vector

from ...geometry.errors import OutlineError
from ..blender.curves import curve_of, read_profile
from ..blender.drawing import Drawing
from ..blender.units import to_blender
from ..locale.words import translated
from ..state.things import pieces_of, sheet_objects
from .overlay import Place, Sign, signs_drawing
from .troubles import place_of, troubles

__all__ = ["draw_signs"]

WORDS = {"overlap": "Overlap", "close": "Too Close", "outside": "Off Sheet", "pinned": "Pinned"}
ROUGH_MM = 0.5
"""Edges on the screen need no more."""


def draw_signs(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    """Draw what is wrong on every sheet, and a pin on what is pinned."""
    context = bpy.context
    signs = [*_trouble_signs(context, region, view), *_pin_signs(context, region, view)]
    return signs_drawing(signs, context.preferences.system.ui_scale)


def _trouble_signs(
    context: bpy.types.Context, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> list[Sign]:
    signs, objects = [], context.scene.objects
    for trouble in troubles(context):
        sheet: bpy.types.Object | None = objects.get(trouble.sheet)
        if trouble.state not in WORDS or sheet is None or not sheet.visible_get():
            continue
        at = location_3d_to_region_2d(region, view, place_of(context, trouble))
        if at is not None:
            things: list[bpy.types.Object | None] = [objects.get(n) for n in trouble.pieces]
            edges = tuple(_edge(o, region, view) for o in things if o is not None)
            signs.append(Sign((at.x, at.y), trouble.state, translated(WORDS[trouble.state]), edges))
    return signs


def _pin_signs(
    context: bpy.types.Context, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> list[Sign]:
    signs = []
    for sheet in sheet_objects(context):
        for thing in pieces_of(sheet):
            if not (thing.flatwright_sheet.pinned and thing.visible_get()):
                continue
            edge = _edge(thing, region, view)
            if edge:
                low, high = np.min(edge, axis=0), np.max(edge, axis=0)
                middle = (float(low[0] + high[0]) / 2.0, float(low[1] + high[1]) / 2.0)
                signs.append(Sign(middle, "pinned", translated(WORDS["pinned"])))
    return signs


def _edge(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> tuple[Place, ...]:
    """A piece's outer edge in the viewport; nothing where a part of it is behind the eye."""
    try:
        corners = read_profile(curve_of(thing)).outer.flatten(ROUGH_MM)
    except OutlineError:
        return ()
    places = []
    for x, y in (corners * to_blender(1.0)).tolist():
        at = location_3d_to_region_2d(region, view, thing.matrix_world @ Vector((x, y, 0.0)))
        if at is None:
            return ()
        places.append((at.x, at.y))
    return tuple(places)
