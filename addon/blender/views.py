"""Turn a 3D viewport to what is worked on: down on a photo or a sheet, aslant on an assembly."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np
from mathutils import Euler, Quaternion, Vector

from .extents import box_of, corners_mm
from .units import to_blender

__all__ = [
    "LookDown",
    "frame_from_above",
    "frame_selected",
    "frame_things",
    "look_at",
    "look_down_on",
    "show_relations",
]

SENSOR_MM = 36.0
"""Blender's viewports have the sensor of 35 mm film and show twice its angle."""
LEAST_SHOWN_MM = 1.0
"""What is smaller, such as a single point, is not brought nearer."""
FILLED = 0.9
"""Fraction of the free viewport that the photo fills."""


@dataclass(frozen=True, slots=True)
class LookDown:
    """A view straight down: the place in its middle and its distance, in Blender units."""

    middle: tuple[float, float]
    distance: float


def look_down_on(
    size: tuple[float, float],
    region_px: tuple[int, int],
    covered_px: tuple[int, int] = (0, 0),
    lens_mm: float = 50.0,
) -> LookDown:
    """Return the view that shows a picture whole, between what covers the viewport's sides.

    Parameters
    ----------
    size
        Width and height of the picture; the view's middle is given from the picture's.
    covered_px
        How much of the viewport's left and right is covered, by toolbar and sidebar.
    """
    left, right = covered_px
    free = max(region_px[0] - left - right, region_px[0] // 4)
    per_px = max(size[0] / free, size[1] / region_px[1]) / FILLED
    distance = per_px * max(region_px) * lens_mm / (2.0 * SENSOR_MM)
    return LookDown(((right - left) / 2.0 * per_px, 0.0), distance)


def frame_from_above(context: bpy.types.Context, photo: bpy.types.Object) -> None:
    """Show a photo whole, from above, in the viewport at hand; without one nothing happens."""
    area = _viewport(context)
    if area is None or len(area.spaces.active.region_quadviews):
        return
    space, view = area.spaces.active, area.spaces.active.region_3d
    region = next(r for r in area.regions if r.type == "WINDOW")
    picture: Any = photo.data
    width, height = picture.size
    per_px = photo.empty_display_size / max(width, height)
    across, up = photo.empty_image_offset
    look = look_down_on(
        (width * per_px, height * per_px),
        (region.width, region.height),
        _covered(area),
        space.lens,
    )
    x, y = ((across + 0.5) * width * per_px, (up + 0.5) * height * per_px)
    middle = photo.matrix_world @ Vector((x, y, 0.0))
    view.view_perspective = "ORTHO"
    view.view_rotation = Quaternion()
    view.view_location = middle + Vector((*look.middle, 0.0))
    view.view_distance = look.distance


ASLANT = Euler((math.radians(62.0), 0.0, math.radians(38.0))).to_quaternion()
"""From the front right and a little above, as people hold a thing they have made."""


def frame_things(
    context: bpy.types.Context, things: Sequence[bpy.types.Object], *, from_above: bool
) -> None:
    """Show objects whole in the viewport at hand; without one nothing happens.

    Parameters
    ----------
    context, things
        The viewport, and what is shown.
    from_above
        Whether the view turns to look down on them.
    """
    area = _viewport(context)
    if area is None or len(area.spaces.active.region_quadviews) or not things:
        return
    low, high = box_of(things)
    region = next(r for r in area.regions if r.type == "WINDOW")
    left, right = _covered(area)
    free = max(region.width - left - right, region.width // 4)
    across = float(np.hypot(*(high - low)[:2])) if not from_above else float((high - low)[0])
    up = float(np.linalg.norm(high - low)) if not from_above else float((high - low)[1])
    per_px = max(across / free, up / region.height) / FILLED
    space = area.spaces.active
    view = space.region_3d
    view.view_perspective = "ORTHO" if from_above else "PERSP"
    view.view_rotation = Quaternion() if from_above else ASLANT
    # The middle of what is free is not the viewport's middle where the sidebar covers one side.
    aside = view.view_rotation @ Vector(((right - left) / 2.0 * per_px, 0.0, 0.0))
    middle = Vector(0.5 * (low + high)) + aside
    view.view_location = [to_blender(c, context.scene) for c in middle]
    largest = max(region.width, region.height)
    distance_mm = per_px * largest * space.lens / (2.0 * SENSOR_MM)
    view.view_distance = to_blender(distance_mm, context.scene)


def frame_selected(context: bpy.types.Context, things: Sequence[bpy.types.Object]) -> None:
    """Show objects whole in the viewport at hand, whose turn stays; without one nothing happens."""
    area = _viewport(context)
    if area is None or len(area.spaces.active.region_quadviews) or not things:
        return
    space = area.spaces.active
    view = space.region_3d
    axes = np.array(view.view_rotation.to_matrix())
    seen = np.concatenate([corners_mm(thing) for thing in things]) @ axes
    low, high = seen.min(axis=0), seen.max(axis=0)
    region = next(r for r in area.regions if r.type == "WINDOW")
    left, right = _covered(area)
    size = np.maximum((high - low)[:2], LEAST_SHOWN_MM)
    look = look_down_on(
        (float(size[0]), float(size[1])), (region.width, region.height), (left, right), space.lens
    )
    if view.view_perspective == "CAMERA":
        view.view_perspective = "PERSP"
    middle = axes @ (0.5 * (low + high) + (*look.middle, 0.0))
    view.view_location = [to_blender(float(c), context.scene) for c in middle]
    view.view_distance = to_blender(look.distance, context.scene)


def show_relations(context: bpy.types.Context, shown: bool) -> bool:
    """Draw dashed lines from children to parents, or not; return whether that changed anything.

    A sheet is the parent of its pieces, and a line to every one of them would hide what is on it.
    """
    areas = context.screen.areas if context.screen is not None else ()
    overlays: list[Any] = [a.spaces.active.overlay for a in areas if a.type == "VIEW_3D"]
    changed = [one for one in overlays if one.show_relationship_lines != shown]
    for one in changed:
        one.show_relationship_lines = shown
    return bool(changed)


def look_at(context: bpy.types.Context, place: Sequence[float], around_mm: float) -> None:
    """Move the view at hand to a place, in Blender's units, and so near; its turn stays.

    Parameters
    ----------
    context, place
        The viewport, and the place in the scene's axes, Blender's units.
    around_mm
        How far from the place the view stands.
    """
    view = getattr(context.space_data, "region_3d", None)
    if view is not None:
        view.view_location = Vector(place)
        view.view_distance = to_blender(around_mm, context.scene)


def _covered(area: bpy.types.Area) -> tuple[int, int]:
    """Pixels of the viewport's left and right that toolbar and sidebar cover."""
    sides = {
        r.alignment: r.width for r in area.regions if r.type in {"TOOLS", "UI"} and r.width > 1
    }
    return sides.get("LEFT", 0), sides.get("RIGHT", 0)


def _viewport(context: bpy.types.Context) -> bpy.types.Area | None:
    if bpy.app.background or context.window is None:
        return None
    if context.area is not None and context.area.type == "VIEW_3D":
        return context.area
    areas = [a for a in context.window.screen.areas if a.type == "VIEW_3D"]
    return max(areas, key=lambda area: area.width * area.height, default=None)
