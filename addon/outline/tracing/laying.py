"""An outline laid on another photo of the same part, what hangs on it unmoved."""

import bpy
from mathutils import Matrix

from ....geometry.outline import Registration
from ...blender.curves import curve_of
from ...blender.units import blender_per_mm
from ..outline_objects import rewrite_outline
from .record import made_from

__all__ = ["take_anew"]


def take_anew(
    context: bpy.types.Context,
    thing: bpy.types.Object,
    photo: bpy.types.Object,
    found: Registration,
) -> None:
    """Give an outline the shape found in another photo, in its own mm, and lay it on that photo.

    What was made symmetric from it and lies on it goes with it.

    Parameters
    ----------
    thing, photo
        The outline, and the photo it is laid on.
    found
        The shape found there, and how it lies on the outline's.
    """
    settings, lay = thing.flatwright_outline, thing.matrix_world.copy()
    before = settings.before
    if before is None:
        before = thing.copy()
        before.name = f"{thing.name} before"
        context.collection.objects.link(before)
    before.data = curve_of(thing).copy()
    before.flatwright_outline.before = None
    before.flatwright_outline.is_outline = False
    before.hide_set(True)
    rewrite_outline(thing, found.profile)
    settings.before, settings.photo = before, photo
    back = [list(row) for row in found.inverse]
    scale = blender_per_mm(context.scene)
    on_bench = Matrix(
        (
            (back[0][0], back[0][1], 0.0, scale * back[0][2]),
            (back[1][0], back[1][1], 0.0, scale * back[1][2]),
            (0.0, 0.0, 1.0, 0.0),
            (0.0, 0.0, 0.0, 1.0),
        )
    )
    thing.matrix_world = photo.matrix_world.normalized() @ on_bench
    before.matrix_world = thing.matrix_world
    settings.bench_turn_rad = -found.turn_rad
    for other in made_from(context, thing):
        if other.matrix_world == lay:
            other.matrix_world = thing.matrix_world
            other.flatwright_outline.photo = photo
