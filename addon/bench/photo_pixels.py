"""Between a place in a viewport and a pixel of the photo, as taken or straightened."""

from typing import Any

import bpy
import numpy as np
from bpy_extras.view3d_utils import (
    location_3d_to_region_2d,
    region_2d_to_origin_3d,
    region_2d_to_vector_3d,
)
from mathutils import Vector
from mathutils.geometry import intersect_line_plane

from ...geometry.arrays import Points, as_points
from ...geometry.errors import BenchError, TraceError
from ..blender.picking import viewport_under_mouse
from ..blender.units import blender_per_mm
from .bench_record import read_bench

__all__ = [
    "image_px_under_mouse",
    "photo_px_at",
    "photo_px_in_region",
    "photo_px_in_step",
    "photo_px_under_mouse",
    "places_of_photo_px",
    "region_places",
]


def photo_px_under_mouse(
    context: bpy.types.Context,
    event: bpy.types.Event,
    photo: bpy.types.Object,
    off: tuple[float, float] = (0.0, 0.0),
) -> tuple[float, float]:
    """Return the photo's pixel ``off`` the mouse, whichever picture of it is shown.

    Parameters
    ----------
    event, photo
        Where the mouse is, and the photo's object.
    off
        Pixels of the window from the mouse.

    Raises
    ------
    TraceError
        If the mouse is not over a 3D viewport or the view looks along the bench.
    """
    region, view, x, y = viewport_under_mouse(context, event)
    return photo_px_in_region(region, view, photo, (x + off[0], y + off[1]))


def photo_px_in_region(
    region: bpy.types.Region,
    view: bpy.types.RegionView3D,
    photo: bpy.types.Object,
    place: tuple[float, float],
) -> tuple[float, float]:
    """Return the photo's pixel shown at a place of a viewport.

    Parameters
    ----------
    region, view
        The viewport.
    photo, place
        The photo's object and a place of the viewport.

    Raises
    ------
    TraceError
        If the view looks along the bench.
    """
    origin = region_2d_to_origin_3d(region, view, place)
    direction = region_2d_to_vector_3d(region, view, place)
    world = photo.matrix_world
    hit = intersect_line_plane(origin, origin + direction, world.translation, world.col[2].xyz)
    if hit is None:
        raise TraceError("The view looks along the bench. Look down on the photo and click.")
    return photo_px_at(photo, hit)


def image_px_under_mouse(
    context: bpy.types.Context,
    event: bpy.types.Event,
    photo: bpy.types.Object,
    off: tuple[float, float] = (0.0, 0.0),
) -> tuple[float, float]:
    """Return the pixel ``off`` the mouse (in pixels of the window), which must be the photo's.

    Parameters
    ----------
    event, photo, off
        As of `photo_px_under_mouse`.

    Raises
    ------
    BenchError, TraceError
        If the mouse is beside the photo or not over a 3D viewport.
    """
    x, y = photo_px_under_mouse(context, event, photo, off)
    settings = photo.flatwright_photo
    if not (-0.5 <= x <= settings.width_px - 0.5 and -0.5 <= y <= settings.height_px - 0.5):
        raise BenchError("That click was beside the photo. Click on the photo.")
    return (x, y)


def photo_px_in_step(
    context: bpy.types.Context, event: bpy.types.Event, photo: bpy.types.Object
) -> float:
    """Return how many of the photo's pixels a step of the mouse is where it is now.

    Raises
    ------
    TraceError
        If the mouse is not over a 3D viewport or the view looks along the bench.
    """
    here, right, up = (
        np.array(photo_px_under_mouse(context, event, photo, off))
        for off in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
    )
    return float(max(np.hypot(*(right - here)), np.hypot(*(up - here))))


def photo_px_at(photo: bpy.types.Object, world: Vector) -> tuple[float, float]:
    """Return the photo's pixel shown at a place of the photo's plane."""
    local = photo.matrix_world.inverted() @ world
    if photo.flatwright_bench.record:
        scale = blender_per_mm()
        height_mm = photo.flatwright_bench.straightened_height_mm
        bench = read_bench(photo)
        (px,) = bench.to_photo([[local.x / scale, local.y / scale]], height_mm)
        return (float(px[0]), float(px[1]))
    per_px, left, bottom = _as_taken(photo)
    top = bottom + photo.flatwright_photo.height_px * per_px
    return ((local.x - left) / per_px - 0.5, (top - local.y) / per_px - 0.5)


def places_of_photo_px(photo: bpy.types.Object, points_px: Any) -> list[Vector]:
    """Return where in the scene pixels (N, 2) of the photo are shown."""
    points = as_points(np.asarray(points_px, dtype=np.float64))
    return [photo.matrix_world @ Vector((x, y, 0.0)) for x, y in _local(photo, points)]


def region_places(
    region: bpy.types.Region, view: bpy.types.RegionView3D, photo: bpy.types.Object, points_px: Any
) -> list[tuple[float, float] | None]:
    """Return where in a viewport pixels (N, 2) of the photo are drawn; None where out of view.

    Parameters
    ----------
    region, view
        The viewport.
    photo, points_px
        The photo's object and (N, 2) of its pixels.
    """
    seen = [location_3d_to_region_2d(region, view, p) for p in places_of_photo_px(photo, points_px)]
    return [None if at is None else (at.x, at.y) for at in seen]


def _local(photo: bpy.types.Object, points: Points) -> Points:
    """Pixels (N, 2) to places (N, 2) on the photo object, in Blender units."""
    if photo.flatwright_bench.record:
        height_mm = photo.flatwright_bench.straightened_height_mm
        return read_bench(photo).to_plane(points, height_mm) * blender_per_mm()
    per_px, left, bottom = _as_taken(photo)
    rows = photo.flatwright_photo.height_px
    x, y = points.T
    return np.column_stack((left + (x + 0.5) * per_px, bottom + (rows - y - 0.5) * per_px))


def _as_taken(photo: bpy.types.Object) -> tuple[float, float, float]:
    """(Blender units in a pixel, left, bottom) of the whole picture; its longer side is given."""
    width, height = photo.flatwright_photo.width_px, photo.flatwright_photo.height_px
    per_px = photo.empty_display_size / max(width, height)
    across, up = photo.empty_image_offset
    return per_px, across * width * per_px, up * height * per_px
