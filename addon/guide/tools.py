"""Tools in the viewport's toolbar: tracing and marking, click after click."""

from typing import Any

import bpy

from ..locale.words import CONTEXT

__all__ = ["register", "unregister"]


def _key(operator: str, **keys: Any) -> tuple[Any, ...]:
    """One line of a tool's keymap: the operator a left click starts, at the click itself."""
    event = {"type": "LEFTMOUSE", "value": "PRESS", **keys}
    return (f"flatwright.{operator}", event, {"properties": [("at_click", True)]})


class FLATWRIGHT_WT_trace(bpy.types.WorkSpaceTool):
    bl_space_type = "VIEW_3D"
    bl_context_mode = "OBJECT"
    bl_idname = "flatwright.trace_tool"
    bl_label = "Trace"
    bl_description = (
        "Click a part in the photo to trace it; Shift adds to the selected trace, "
        "Ctrl removes from it"
    )
    bl_icon = "ops.curve.draw"
    bl_cursor = "CROSSHAIR"
    bl_keymap = (
        _key("trace_outline"),
        _key("add_to_trace", shift=True),
        _key("remove_from_trace", ctrl=True),
    )


class FLATWRIGHT_WT_mark_length(bpy.types.WorkSpaceTool):
    bl_space_type = "VIEW_3D"
    bl_context_mode = "OBJECT"
    bl_idname = "flatwright.mark_length_tool"
    bl_label = "Mark Length"
    bl_description = "Click both ends of a known length in the photo, then type it"
    bl_icon = "ops.view3d.ruler"
    bl_cursor = "CROSSHAIR"
    bl_keymap = (_key("mark_length"),)


class FLATWRIGHT_WT_mark_rectangle(bpy.types.WorkSpaceTool):
    bl_space_type = "VIEW_3D"
    bl_context_mode = "OBJECT"
    bl_idname = "flatwright.mark_rectangle_tool"
    bl_label = "Mark Rectangle"
    bl_description = "Click the four corners of a sheet or card in the photo"
    bl_icon = "ops.gpencil.primitive_box"
    bl_cursor = "CROSSHAIR"
    bl_keymap = (_key("mark_rectangle"),)


TOOLS: tuple[Any, ...] = (
    FLATWRIGHT_WT_trace,
    FLATWRIGHT_WT_mark_length,
    FLATWRIGHT_WT_mark_rectangle,
)


def register() -> None:
    """Add the tools below Blender's own; a Blender without a window has no toolbar."""
    if bpy.app.background:
        return
    for number, tool in enumerate(TOOLS):
        tool.bl_translation_context = CONTEXT
        bpy.utils.register_tool(tool, separator=number == 0, group=False)


def unregister() -> None:
    """Take them back."""
    if bpy.app.background:
        return
    for tool in reversed(TOOLS):
        bpy.utils.unregister_tool(tool)
