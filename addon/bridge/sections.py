"""The viewport cut open at a part's plane, with Blender's own clipping planes."""

from typing import Any

import bpy
from mathutils import Vector

__all__ = ["toggle_section"]

FAR = 1e4
"""Blender clips by six planes; those not wanted lie this far away, in its units."""


def toggle_section(view: bpy.types.RegionView3D, thing: bpy.types.Object | None) -> None:
    """Hide what lies before a part's mid-plane, seen from here; or show everything again."""
    if view.use_clip_planes:
        view.use_clip_planes = False
        return
    if thing is None:
        return
    normal = thing.matrix_world.to_3x3() @ Vector((0.0, 0.0, 1.0))
    # The view looks along its own -z; keep the side that lies farther away.
    looking = view.view_rotation @ Vector((0.0, 0.0, -1.0))
    if normal.dot(looking) < 0.0:
        normal.negate()
    at = thing.matrix_world.translation
    kept = (*normal, -normal.dot(at))
    aside = [(*axis, FAR) for axis in ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1))]
    planes: Any = [kept, *aside]
    view.clip_planes = planes
    view.use_clip_planes = True
