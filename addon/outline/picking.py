"""A click inside an outline selects it, where Blender's own click took the photo below it."""

from typing import Any

import bpy

from ..blender.selecting import select_only
from .hand_error_shown import outline_under_mouse

__all__ = ["FLATWRIGHT_OT_pick_outline", "register_key", "unregister_key"]

_keys: list[tuple[Any, Any]] = []


class FLATWRIGHT_OT_pick_outline(bpy.types.Operator):
    """Select the outline whose inside was clicked on"""

    bl_idname = "flatwright.pick_outline"
    bl_label = "Select Outline"
    bl_options = {"UNDO", "INTERNAL"}

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        # Blender's own click came first: what it found and is no photo was meant.
        if any(not thing.flatwright_photo.is_photo for thing in context.selected_objects):
            return {"PASS_THROUGH"}
        thing = outline_under_mouse(context, event)
        if thing is None:
            return {"PASS_THROUGH"}
        select_only(context, thing)
        return {"FINISHED"}


def register_key() -> None:
    """Ask for every plain click in Object Mode, after Blender's own tools."""
    keys = bpy.context.window_manager.keyconfigs.addon
    if keys is None:
        # In background mode nobody clicks.
        return
    table = keys.keymaps.new(name="Object Mode")
    key = table.keymap_items.new(FLATWRIGHT_OT_pick_outline.bl_idname, "LEFTMOUSE", "CLICK")
    _keys.append((table, key))


def unregister_key() -> None:
    """Take the key back."""
    while _keys:
        table, key = _keys.pop()
        table.keymap_items.remove(key)
