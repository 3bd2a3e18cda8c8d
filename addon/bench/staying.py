"""The photo stays where its bench put it: a picture dragged by its handles is put back, and told.

Every later trace would be wrong by as much. The photo itself may be moved and turned, not scaled.
"""

from typing import Any

import bpy
import numpy as np
from bpy.app.handlers import persistent

from ..blender.drawing import redraw
from ..state.things import photo_objects

__all__ = ["put_back", "stay", "stop_staying"]

SOON_S = 0.05


def put_back(context: bpy.types.Context) -> int:
    """Show every straightened photo as its bench has it again; return how many were not so."""
    found = [photo for photo in photo_objects(context) if not _is_in_place(photo)]
    for photo in found:
        settings = photo.flatwright_bench
        size, *offset = settings.shown
        photo.empty_display_size, photo.empty_image_offset = size, offset
        photo.scale = photo.delta_scale = (1.0, 1.0, 1.0)
        if settings.picture is not None:
            photo.data = settings.picture
        settings.was_put_back = True
    if found:
        redraw()
    return len(found)


def _is_in_place(photo: bpy.types.Object) -> bool:
    """Whether a photo is shown as its bench has it, or was never given a place."""
    settings = photo.flatwright_bench
    if not settings.record or not settings.shown[0] or photo.library is not None:
        return True
    shown = (photo.empty_display_size, *photo.empty_image_offset)
    sizes = (*photo.scale, *photo.delta_scale)
    if settings.picture not in (None, photo.data):
        return False
    return np.allclose(shown, settings.shown, rtol=1e-6, atol=0.0) and set(sizes) == {1.0}


def _later() -> None:
    put_back(bpy.context)


@persistent
def _touched(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    for update in depsgraph.updates:
        thing: Any = update.id.original
        if isinstance(thing, bpy.types.Object) and thing.flatwright_photo.is_photo:
            if not _is_in_place(thing) and not bpy.app.timers.is_registered(_later):
                bpy.app.timers.register(_later, first_interval=SOON_S)


def stay() -> None:
    """Begin to look after photos."""
    bpy.app.handlers.depsgraph_update_post.append(_touched)


def stop_staying() -> None:
    """Leave nothing behind."""
    if _touched in bpy.app.handlers.depsgraph_update_post:
        bpy.app.handlers.depsgraph_update_post.remove(_touched)
    if bpy.app.timers.is_registered(_later):
        bpy.app.timers.unregister(_later)
