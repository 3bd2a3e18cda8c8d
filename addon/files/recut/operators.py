"""Say what was cut, ask what must be cut again, and lay out only that."""

from typing import Any

import bpy

from ...assembly.rebuilding import RebuildsFirst
from ...locale.words import reported_of, translated
from ...part.needs import NeedsParts
from ...sheet.layouts import laying
from ...sheet.sheets_shown import show_sheets
from ...state.following import catch_up
from ...state.work import Work, plainly
from .states import all_again, ask_again, leave_out_done, mark_cut, to_mark

__all__ = [
    "FLATWRIGHT_OT_lay_out_again",
    "FLATWRIGHT_OT_lay_out_everything",
    "FLATWRIGHT_OT_mark_as_cut",
    "FLATWRIGHT_OT_what_again",
]


class FLATWRIGHT_OT_mark_as_cut(bpy.types.Operator):
    """Say that the selected sheets, pieces or parts were cut, as their files were saved last"""

    bl_idname = "flatwright.mark_as_cut"
    bl_label = "Mark as Cut"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not to_mark(context):
            cls.poll_message_set(translated("Select a sheet, pieces on it, or parts"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        count = mark_cut(context, to_mark(context))
        self.report({"INFO"}, reported_of(count, "{number} part marked.", "{number} parts marked."))
        return {"FINISHED"}


class FLATWRIGHT_OT_what_again(NeedsParts, bpy.types.Operator):
    """List the parts that are no longer as they were cut, and why"""

    bl_idname = "flatwright.what_again"
    bl_label = "What Must Be Cut Again"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        catch_up()
        again, saved = ask_again(context)
        told = reported_of(
            again, "{number} part must be cut again.", "{number} parts must be cut again."
        )
        if saved:
            left = reported_of(
                saved,
                "{number} was saved and not marked as cut.",
                "{number} were saved and not marked as cut.",
            )
            told = f"{told} {left}"
        self.report({"WARNING" if again else "INFO"}, told)
        return {"FINISHED"}


class FLATWRIGHT_OT_lay_out_again(NeedsParts, RebuildsFirst, bpy.types.Operator):
    """Lay out only the parts that must be cut again; the others stay out until told otherwise"""

    bl_idname = "flatwright.lay_out_again"
    bl_label = "Lay Out Only These"
    bl_options = {"REGISTER", "UNDO"}

    def gather(self, context: bpy.types.Context) -> Work:
        leave_out_done(context)
        return laying(context)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        self.report({"INFO"}, show_sheets(context, result))


class FLATWRIGHT_OT_lay_out_everything(NeedsParts, bpy.types.Operator):
    """Let every part be laid out again, also what was cut and is still right"""

    bl_idname = "flatwright.lay_out_everything"
    bl_label = "Leave Nothing Out"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        all_again(context)
        return {"FINISHED"}
