"""Outlines as strokes in a viewport, and how far the hand-cut one is off, enlarged."""

from dataclasses import dataclass
from functools import lru_cache

import bpy
import numpy as np
import shapely

from ...geometry.arrays import Points
from ...geometry.errors import FlatwrightError
from ...geometry.outline import Profile
from ...geometry.outline.symmetry import HandError, fair_factor, hand_error
from ...geometry.tolerance import SHOWN_FLAT_MM
from ..blender.curves import curve_of, read_profile
from ..blender.drawing import Place
from ..blender.screen import Lines, dashes, joined, place_under_mouse, region_points
from ..blender.units import show_length

__all__ = ["HandDrawing", "hand_drawing", "outline_fill", "outline_strokes", "outline_under_mouse"]

DASH_PX, GAP_PX = 9.0, 6.0


@dataclass(frozen=True, slots=True)
class HandDrawing:
    """The hand-cut line, its error enlarged, spokes between, and the worst place's number."""

    hand: Lines
    enlarged: Lines
    worst: Place | None
    words: str


def outline_strokes(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> Lines:
    """An outline's edges in the viewport's pixels; none where it is no outline for the moment.

    Parameters
    ----------
    thing
        The outline.
    region, view
        The viewport that is drawn in.
    """
    profile = _profile_of(thing)
    if profile is None:
        return ()
    rings = (region_points(thing.matrix_world, e, region, view) for e in _edges(profile))
    return tuple(line for ring in rings for line in joined(ring, closed=True))


def outline_fill(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D
) -> np.ndarray | None:
    """(N, 3, 2) triangles of an outline's inside in the viewport's pixels; None where none is.

    Parameters
    ----------
    thing
        The outline.
    region, view
        The viewport that is drawn in.
    """
    profile = _profile_of(thing)
    if profile is None:
        return None
    corners = _inside(profile)
    seen = region_points(thing.matrix_world, corners.reshape(-1, 2), region, view)
    triangles = seen.reshape(-1, 3, 2)
    shown = triangles[np.isfinite(triangles).all(axis=(1, 2))]
    return shown if len(shown) else None


def outline_under_mouse(
    context: bpy.types.Context, event: bpy.types.Event
) -> bpy.types.Object | None:
    """The smallest visible outline that the mouse points into."""
    found = []
    for thing in context.visible_objects:
        if not thing.flatwright_outline.is_outline or thing.hide_select:
            continue
        profile = _profile_of(thing)
        try:
            place = place_under_mouse(context, event, thing)
        except FlatwrightError:
            continue
        if profile is not None and shapely.contains_xy(profile.polygon(SHOWN_FLAT_MM), *place):
            found.append((profile.area_mm2, thing))
    return min(found, key=lambda one: one[0])[1] if found else None


@lru_cache(maxsize=32)
def _inside(profile: Profile) -> np.ndarray:
    """(N, 3, 2) mm triangles of a profile's inside."""
    parts = shapely.get_parts(
        shapely.constrained_delaunay_triangles(profile.polygon(SHOWN_FLAT_MM))
    )
    corners: np.ndarray = shapely.get_coordinates(parts).reshape(-1, 4, 2)[:, :3]
    return corners


def hand_drawing(
    thing: bpy.types.Object, region: bpy.types.Region, view: bpy.types.RegionView3D, scale: float
) -> HandDrawing | None:
    """How far a symmetric outline is off the hand's, or a retaken one off what it was before.

    None where nothing is known.

    Parameters
    ----------
    thing
        The outline.
    region, view
        The viewport that is drawn in.
    scale
        How large the interface is drawn.
    """
    settings = thing.flatwright_outline
    traced = settings.traced if settings.symmetry else settings.before
    if traced is None:
        return None
    drawn, meant = _profile_of(traced), _profile_of(thing)
    if drawn is None or meant is None:
        return None
    error = _hand_error(drawn, meant)
    x0, y0, x1, y1 = meant.bounds_mm
    factor = fair_factor(error.worst_mm, min(x1 - x0, y1 - y0))
    world = thing.matrix_world
    hand: Lines = ()
    for edge in _edges(drawn):
        ring = region_points(world, np.vstack((edge, edge[:1])), region, view)
        hand += dashes(ring, DASH_PX * scale, GAP_PX * scale)
    enlarged: Lines = ()
    for ring in error.enlarged(factor):
        enlarged += joined(region_points(world, ring, region, view), closed=True)
    (at,) = region_points(world, np.array([error.worst]), region, view)
    worst = (float(at[0]), float(at[1])) if np.isfinite(at).all() else None
    words = f"{show_length(error.worst_mm)} (×{factor})"
    if settings.symmetry and settings.deviation_max_mm <= settings.deviation_chance_mm:
        # No more than the edge was read to: nothing of it is the hand's.
        worst, words = None, ""
    return HandDrawing(hand, enlarged, worst, words)


def _profile_of(thing: bpy.types.Object) -> Profile | None:
    try:
        return read_profile(curve_of(thing))
    except (FlatwrightError, ValueError):
        # A curve that is no outline for the moment is not drawn over; tools say why when used.
        return None


@lru_cache(maxsize=64)
def _edges(profile: Profile) -> tuple[Points, ...]:
    return tuple(loop.flatten(SHOWN_FLAT_MM) for loop in profile.loops)


@lru_cache(maxsize=8)
def _hand_error(drawn: Profile, meant: Profile) -> HandError:
    return hand_error(drawn, meant)
