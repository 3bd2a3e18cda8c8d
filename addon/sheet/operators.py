"""Lay the pieces out on sheets of their stock."""

from typing import Any

import bpy

from ..bridge.parts import part_objects, rebuild_parts
from ..bridge.sheets import improving, laying, show_sheets
from ..work import LongWork, Work

__all__ = ["FLATWRIGHT_OT_improve_layout", "FLATWRIGHT_OT_lay_out"]


class FLATWRIGHT_OT_lay_out(LongWork, bpy.types.Operator):
    """Lay every part out on sheets of its stock, corrected for the tool's kerf"""

    bl_idname = "flatwright.lay_out"
    bl_label = "Lay Out Sheets"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not part_objects(context):
            cls.poll_message_set("Make a part first")
            return False
        return True

    def gather(self, context: bpy.types.Context) -> Work:
        rebuild_parts(context)
        return laying(context)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        self.report({"INFO"}, show_sheets(context, result))


class FLATWRIGHT_OT_improve_layout(LongWork, bpy.types.Operator):
    """Push the parts closer together for the time set; Esc keeps the best found so far"""

    bl_idname = "flatwright.improve_layout"
    bl_label = "Improve Layout"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not part_objects(context):
            cls.poll_message_set("Make a part first")
            return False
        return True

    def gather(self, context: bpy.types.Context) -> Work:
        rebuild_parts(context)
        self._found: list[Any] = []
        return improving(context, self._found.append)

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if event.type == "TIMER" and self._found and self._job.thread.is_alive():
            show_sheets(context, self._found[-1])
            self._found.clear()
        return super().modal(context, event)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        self.report({"INFO"}, show_sheets(context, result))
