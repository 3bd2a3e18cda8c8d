"""The viewport under the mouse."""

import bpy

from ...geometry.errors import TraceError

__all__ = ["viewport_under_mouse"]


def viewport_under_mouse(
    context: bpy.types.Context, event: bpy.types.Event
) -> tuple[bpy.types.Region, bpy.types.RegionView3D, int, int]:
    """The viewport's region and view under the mouse, and the place in it."""
    x, y = event.mouse_x, event.mouse_y
    for area in context.window.screen.areas:
        # Sidebar and toolbar lie over the viewport they belong to.
        under = [r for r in area.regions if r.width > 1 and _holds(r, x, y)]
        if area.type == "VIEW_3D" and [r.type for r in under] == ["WINDOW"]:
            region = under[0]
            return region, area.spaces.active.region_3d, x - region.x, y - region.y
    raise TraceError("That click was outside the 3D viewport. Click inside it.")


def _holds(region: bpy.types.Region, x: int, y: int) -> bool:
    return 0 <= x - region.x < region.width and 0 <= y - region.y < region.height
