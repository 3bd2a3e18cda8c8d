"""Sizes and suggestions of an outline, and where they lie in a viewport."""

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

import bpy
import numpy as np
from bpy_extras.view3d_utils import location_3d_to_region_2d
from mathutils import Vector

from ...geometry.arrays import Point
from ...geometry.errors import FlatwrightError
from ...geometry.outline import Profile
from ...geometry.outline.curves import Size, selected_sizes, whole_sizes
from ...geometry.tolerance import MEASURED_FLAT_MM, SHOWN_FLAT_MM
from ..blender.curves import curve_of, knots_of, points_of, read_profile
from ..blender.drawing import Place
from ..blender.units import blender_per_mm, show_length, show_sides, to_blender
from .halves import whole_edge
from .suggestion_record import suggestions_hold

__all__ = ["Spot", "chosen_edges", "outline_spots", "size_text", "whole_edges", "whole_size_text"]

Spot = tuple[Place, Size]


def outline_spots(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> list[Spot]:
    """Sizes to write and their places in the viewport's pixels.

    In Edit Mode these are the selected edges and corners, else the whole shape's.

    Parameters
    ----------
    thing
        The outline.
    region, view
        The viewport that is drawn in.
    """
    sizes: list[Size] = []
    try:
        if thing.mode == "EDIT":
            for spline in curve_of(thing).splines:
                if spline.type == "BEZIER" and spline.use_cyclic_u:
                    chosen = [p.select_control_point for p in spline.bezier_points]
                    sizes.extend(selected_sizes(knots_of(spline), np.array(chosen)))
        else:
            sizes.extend(whole_sizes(read_profile(curve_of(thing)).outer.flatten(MEASURED_FLAT_MM)))
    except (FlatwrightError, ValueError):
        # A curve that is no outline for the moment has no sizes; tools say why when used.
        return []
    found = []
    for size in sizes:
        at = _on_screen(thing, size.where, region, view)
        if at is not None:
            found.append((at, size))
    return found


def whole_size_text(thing: bpy.types.Object, *, short: bool = False) -> str:
    """Write both sides of an outline's smallest box; nothing where it is no outline just now."""
    sides = _sides(points_of(thing.data).tobytes(), thing.data.name_full, blender_per_mm())
    return show_sides((round(s, 1) for s in sides) if short else sides, short=short)


@lru_cache(maxsize=16)
def _sides(drawn: bytes, name: str, per_mm: float) -> tuple[float, ...]:
    """Sides in mm of a curve's smallest box, known by its points: panels ask at every drawing."""
    try:
        profile = read_profile(bpy.data.curves[name])
    except (FlatwrightError, KeyError):
        return ()
    return tuple(size.value for size in whole_sizes(profile.outer.flatten(MEASURED_FLAT_MM)))


def size_text(size: Size) -> str:
    """Write a size as the scene writes lengths and angles."""
    if size.kind == "angle":
        return f"{math.degrees(size.value):.2f}°"
    text = show_length(size.value, digits=5)
    return f"R {text}" if size.kind == "radius" else text


def chosen_edges(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> list[tuple[Place, Place]]:
    """The edges of the suggestion chosen in the list, as strokes in the viewport's pixels.

    Parameters
    ----------
    thing
        The outline.
    region, view
        The viewport that is drawn in.
    """
    kept = thing.flatwright_suggestions
    if thing.mode == "EDIT" or not (kept.index < len(kept.items) and suggestions_hold(thing)):
        return []
    profile = read_profile(curve_of(thing))
    lines: list[tuple[Place, Place]] = []
    for number in {int(e) for e in kept.items[kept.index].edges}:
        places = [_on_screen(thing, p, region, view) for p in _along(profile, number)]
        lines += [(a, b) for a, b in pairwise(places) if a and b]
    return lines


def whole_edges(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> list[tuple[Place, Place]]:
    """The whole that half a shape stands for, as strokes in the viewport's pixels.

    Parameters
    ----------
    thing
        The outline.
    region, view
        The viewport that is drawn in.
    """
    edge = whole_edge(thing)
    if edge is None:
        return []
    places = [_on_screen(thing, (float(x), float(y)), region, view) for x, y in edge]
    return [(a, b) for a, b in pairwise((*places, places[0])) if a and b]


def _along(profile: Profile, number: int) -> Sequence[Point]:
    segments = tuple(profile.segments())
    if number >= len(segments):
        return ()
    edge = segments[number]
    return [*((float(x), float(y)) for x, y in edge.flatten(SHOWN_FLAT_MM)), edge.end]


def _on_screen(
    thing: bpy.types.Object,
    place_mm: Point,
    region: bpy.types.Region,
    view: bpy.types.RegionView3D,
) -> Place | None:
    x, y = (to_blender(c) for c in place_mm)
    at = location_3d_to_region_2d(region, view, thing.matrix_world @ Vector((x, y, 0.0)))
    return None if at is None else (at.x, at.y)
