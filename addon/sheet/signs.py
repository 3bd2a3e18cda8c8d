"""Where the signs of the sheets lie in a viewport."""

from dataclasses import replace

import bpy
import numpy as np
from bpy_extras.view3d_utils import location_3d_to_region_2d
from mathutils import Vector

from ...geometry.errors import OutlineError
from ..blender.curves import curve_of, read_profile
from ..blender.drawing import Drawing
from ..blender.labels import LINE_PX
from ..blender.units import show_sides, to_blender
from ..locale.words import hinted, translated
from ..state.things import pieces_of, sheet_objects
from .laid import name_of_piece
from .overlay import Name, Place, Sign, names_drawing, signs_drawing
from .troubles import place_of, troubles

__all__ = ["draw_signs"]

WORDS = {"overlap": "Overlap", "close": "Too Close", "outside": "Off Sheet", "pinned": "Pinned"}
ROUGH_MM = 0.5
"""Edges on the screen need no more."""


def draw_signs(region: bpy.types.Region, view: bpy.types.RegionView3D) -> Drawing:
    """Draw what is wrong on every sheet, and a pin on what is pinned."""
    context = bpy.context
    signs = [*_trouble_signs(context, region, view), *_pin_signs(context, region, view)]
    ui_scale = context.preferences.system.ui_scale
    names = names_drawing(_names(context, region, view), ui_scale)
    drawn = signs_drawing(signs, ui_scale)
    return replace(
        drawn, strokes=(*names.strokes, *drawn.strokes), labels=(*names.labels, *drawn.labels)
    )


def _names(
    context: bpy.types.Context, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> list[Name]:
    """What every piece, offcut and sheet is called, as far as it is in sight."""
    names = []
    for sheet in sheet_objects(context):
        if not sheet.visible_get():
            continue
        for thing in pieces_of(sheet):
            box = _box(thing, region, view) if thing.visible_get() else None
            if box is not None:
                names.append(Name(name_of_piece(thing), box))
        for thing in sheet.children:
            if thing.flatwright_sheet.role != "GROUND":
                continue
            box = _box(thing, region, view)
            if box is not None:
                names.append(_name_of_ground(context, sheet, thing, box))
    return names


def _name_of_ground(
    context: bpy.types.Context,
    sheet: bpy.types.Object,
    thing: bpy.types.Object,
    box: tuple[float, float, float, float],
) -> Name:
    """A sheet is named below its edge, with its grain; an offcut in its middle, with its size."""
    left, bottom, right, _ = box
    if thing.name.endswith(" offcut"):
        size = show_sides(sheet.flatwright_sheet.offcut_mm, context.scene, short=True)
        return Name(hinted("Offcut {size}", size=size), box)
    high = LINE_PX * context.preferences.system.ui_scale
    stock = context.scene.flatwright_stocks.get(sheet.flatwright_sheet.stock)
    grain = stock.grain if stock is not None else "none"
    words = sheet.name if grain == "none" else f"{sheet.name} ({translated('Grain')})"
    middle = 0.5 * (left + right)
    along = ((middle - 4.0 * high, bottom - high), (middle + 4.0 * high, bottom - high))
    up = ((left - high, bottom), (left - high, bottom + 8.0 * high))
    arrow = {"width": along, "height": up}.get(grain)
    return Name(words, (left, bottom - 3.5 * high, right, bottom - 1.5 * high), arrow)


def _box(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> tuple[float, float, float, float] | None:
    """The box round an object in the viewport; None where a part of it is behind the eye."""
    places = []
    for corner in thing.bound_box:
        at = location_3d_to_region_2d(region, view, thing.matrix_world @ Vector(corner))
        if at is None:
            return None
        places.append((at.x, at.y))
    low, high = np.min(places, axis=0), np.max(places, axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


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
