"""Outline objects: a profile on the bench as a curve people can edit."""

import math

import bpy
from mathutils import Matrix

from ...geometry.outline import Arc, Cubic, Line, Profile, Symmetry
from .curves import new_outline_curve
from .units import blender_per_mm, counted

__all__ = ["add_outline", "describe_symmetry", "select_only"]


def select_only(context: bpy.types.Context, thing: bpy.types.Object) -> None:
    """Make ``thing`` the active and only selected object."""
    for other in context.selected_objects:
        other.select_set(False)
    thing.select_set(True)
    context.view_layer.objects.active = thing


def add_outline(
    context: bpy.types.Context,
    name: str,
    profile: Profile,
    photo: bpy.types.Object | None = None,
    frame: bpy.types.Object | None = None,
) -> bpy.types.Object:
    """Add an outline object and select it.

    ``profile`` is in the axes of ``frame``, else of the photo's bench, else of the world. A new
    frame gets its origin in the middle of the outline, so that it turns and snaps as expected.
    """
    if frame is None:
        x0, y0, x1, y1 = profile.bounds_mm
        middle = (round((x0 + x1) / 2.0, 3), round((y0 + y1) / 2.0, 3))
        profile = profile.moved(-middle[0], -middle[1])
        scale = blender_per_mm(context.scene)
        place = Matrix.Translation((middle[0] * scale, middle[1] * scale, 0.0))
        matrix = (photo.matrix_world if photo is not None else Matrix()) @ place
    else:
        matrix = frame.matrix_world.copy()
    thing = bpy.data.objects.new(name, new_outline_curve(name, profile))
    context.collection.objects.link(thing)
    thing.matrix_world = matrix
    thing.show_in_front = True
    settings = thing.flatwright_outline
    settings.is_outline = True
    settings.photo = photo
    settings.made_of = _made_of(profile)
    select_only(context, thing)
    return thing


def _made_of(profile: Profile) -> str:
    """Count segments in words, such as "4 lines, 1 arc"."""
    counts = ((Line, "line"), (Arc, "arc"), (Cubic, "curve"))
    found = [(profile.count(kind), name) for kind, name in counts]
    return ", ".join(counted(n, name) for n, name in found if n)


def describe_symmetry(symmetry: Symmetry) -> str:
    """Say which symmetry was found, such as "Axis at 45.0°"."""
    if symmetry.kind == "mirror":
        return f"Axis at {math.degrees(symmetry.about.angle_rad) % 180.0:.2f}°"
    return f"{symmetry.order}-fold about its centre"
