"""From the mouse in a viewport to a pixel of the photo."""

import bpy
from bpy_extras.view3d_utils import region_2d_to_origin_3d, region_2d_to_vector_3d
from mathutils.geometry import intersect_line_plane

from ...geometry.errors import TraceError
from .benches import read_bench
from .units import blender_per_mm

__all__ = ["photo_px_under_mouse"]


def photo_px_under_mouse(
    context: bpy.types.Context, event: bpy.types.Event, photo: bpy.types.Object
) -> tuple[float, float]:
    """Return the photo's pixel under the mouse, through the straightened picture.

    Raises
    ------
    TraceError
        If the mouse is not over a 3D viewport or the view looks along the bench.
    """
    for area in context.window.screen.areas:
        if area.type != "VIEW_3D":
            continue
        region = next(r for r in area.regions if r.type == "WINDOW")
        x, y = event.mouse_x - region.x, event.mouse_y - region.y
        if not (0 <= x < region.width and 0 <= y < region.height):
            continue
        view = area.spaces.active.region_3d
        origin = region_2d_to_origin_3d(region, view, (x, y))
        direction = region_2d_to_vector_3d(region, view, (x, y))
        world = photo.matrix_world
        hit = intersect_line_plane(origin, origin + direction, world.translation, world.col[2].xyz)
        if hit is None:
            raise TraceError("The view looks along the bench. Look down on the photo and click.")
        local = world.inverted() @ hit
        scale = blender_per_mm(context.scene)
        height_mm = photo.flatwright_bench.straightened_height_mm
        bench = read_bench(photo)
        (px,) = bench.to_photo([[local.x / scale, local.y / scale]], height_mm)
        return (float(px[0]), float(px[1]))
    raise TraceError("That click was outside the 3D viewport. Click on the part in the photo.")
