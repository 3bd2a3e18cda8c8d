"""Outlines under the mouse and in view, where Blender's own click and framing go by their handles.

A click inside an outline selects it, not the photo below; and Frame Selected's key frames what is
seen of it: Blender frames a curve's points with their radius of a metre, by which it extrudes.
"""

from typing import Any

import bpy

from ..blender.selecting import select_only
from ..blender.views import frame_selected
from ..locale.words import translated
from .hand_error_shown import outline_under_mouse
from .properties import is_curve

__all__ = [
    "FLATWRIGHT_OT_frame_outline",
    "FLATWRIGHT_OT_pick_outline",
    "register_key",
    "unregister_key",
]

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


class FLATWRIGHT_OT_frame_outline(bpy.types.Operator):
    """Bring the selected outlines near, as large as the view holds them"""

    bl_idname = "flatwright.frame_outline"
    bl_label = "Frame Outline"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not any(is_curve(thing) for thing in context.selected_objects):
            cls.poll_message_set(translated("Select an outline, or press Trace Outline"))
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        frame_selected(context, context.selected_objects)
        return {"FINISHED"}


def register_key() -> None:
    """Ask for every plain click in Object Mode, after Blender's own tools, and for framing."""
    keys = bpy.context.window_manager.keyconfigs.addon
    if keys is None:
        # In background mode nobody clicks.
        return
    table = keys.keymaps.new(name="Object Mode")
    key = table.keymap_items.new(FLATWRIGHT_OT_pick_outline.bl_idname, "LEFTMOUSE", "CLICK")
    _keys.append((table, key))
    # Where no curve is selected Blender's own Frame Selected answers the same key.
    key = table.keymap_items.new(FLATWRIGHT_OT_frame_outline.bl_idname, "NUMPAD_PERIOD", "PRESS")
    _keys.append((table, key))


def unregister_key() -> None:
    """Take the key back."""
    while _keys:
        table, key = _keys.pop()
        table.keymap_items.remove(key)
