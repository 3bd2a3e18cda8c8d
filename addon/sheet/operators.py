"""Lay the pieces out on sheets of their stock."""

from typing import Any

import bpy
from bpy.props import IntProperty

from ..assembly.rebuilding import RebuildsFirst
from ..blender.drawing import redraw
from ..locale.words import reported, translated
from ..part.needs import NeedsParts
from ..state.work import Work, plainly
from .layouts import improving, laying
from .sheets_shown import show_sheets
from .troubles import selected_pieces, show_trouble, toggle_pins

__all__ = [
    "FLATWRIGHT_OT_improve_layout",
    "FLATWRIGHT_OT_lay_out",
    "FLATWRIGHT_OT_pin_pieces",
    "FLATWRIGHT_OT_show_sheet_trouble",
]


class FLATWRIGHT_OT_lay_out(NeedsParts, RebuildsFirst, bpy.types.Operator):
    """Lay every part out on sheets of its stock, anew but for what is pinned"""

    bl_idname = "flatwright.lay_out"
    bl_label = "Lay Out Sheets"
    bl_options = {"REGISTER", "UNDO"}

    def gather(self, context: bpy.types.Context) -> Work:
        return laying(context)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        self.report({"INFO"}, show_sheets(context, result))


class FLATWRIGHT_OT_improve_layout(NeedsParts, RebuildsFirst, bpy.types.Operator):
    """Push the pieces closer together from where they lie; Esc keeps the best found so far"""

    bl_idname = "flatwright.improve_layout"
    bl_label = "Improve Layout"
    bl_options = {"REGISTER", "UNDO"}

    _found: Any = ()

    def gather(self, context: bpy.types.Context) -> Work:
        self._found = []
        return improving(context, self._found.append)

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if event.type == "TIMER" and self._found and not self._job.is_done:
            show_sheets(context, self._found[-1])
            self._found.clear()
        return super().modal(context, event)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        if result is None:
            self.report(
                {"INFO"}, reported("Nothing better was found; every piece stays where it lies.")
            )
        else:
            self.report({"INFO"}, show_sheets(context, result))


class FLATWRIGHT_OT_pin_pieces(bpy.types.Operator):
    """Keep the selected pieces where they lie when laying out and improving; again to free them"""

    bl_idname = "flatwright.pin_pieces"
    bl_label = "Pin Pieces"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not selected_pieces(context):
            cls.poll_message_set(translated("Select pieces on a sheet, or a sheet"))
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        self.report({"INFO"}, toggle_pins(context))
        redraw()
        return {"FINISHED"}


class FLATWRIGHT_OT_show_sheet_trouble(bpy.types.Operator):
    """Select the pieces something is wrong with and look at the place"""

    bl_idname = "flatwright.show_sheet_trouble"
    bl_label = "Show Trouble on Sheet"
    bl_options = {"REGISTER", "UNDO"}

    index: IntProperty(name="Number", min=0, options={"SKIP_SAVE"})

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        show_trouble(context, self.index)
        return {"FINISHED"}
