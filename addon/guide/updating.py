"""Bring everything that is out of date up to date, in the order it is made in."""

import bpy

from ..assembly.check_record import checking, show_check
from ..assembly.rebuilding import rebuilding, show_parts
from ..bench.staying import put_back
from ..locale.words import reported, translated
from ..sheet.layouts import laying
from ..sheet.sheets_shown import show_sheets
from ..state.graph import needs_check, read_anew, status
from ..state.job import next_step, stale_steps
from ..state.things import part_objects, sheet_objects
from ..state.work import LongWork, Stages

__all__ = ["FLATWRIGHT_OT_bring_up_to_date"]


class FLATWRIGHT_OT_bring_up_to_date(LongWork, bpy.types.Operator):
    """Rebuild parts, check the assembly and lay out the sheets, as far as each is out of date"""

    bl_idname = "flatwright.bring_up_to_date"
    bl_label = "Bring Up to Date"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not part_objects(context):
            cls.poll_message_set(translated("Make a part first"))
            return False
        return True

    def stages(self, context: bpy.types.Context) -> Stages:
        read_anew(context)
        put_back(context)
        if not status(context, "parts").is_current:
            show_parts(context, (yield rebuilding(context)))
        if needs_check(context) and not status(context, "check").is_current:
            show_check(context, (yield checking(context)))
        if sheet_objects(context) and status(context, "sheets").state == "stale":
            show_sheets(context, (yield laying(context)))
        self.tell(context)

    def tell(self, context: bpy.types.Context) -> None:
        """Say what is left that a button cannot do."""
        left = [
            step for step in stale_steps(context) if step.operator != "flatwright.save_cut_files"
        ]
        wanted = next_step(context)
        if left:
            words = reported("Still out of date: {why}", why=left[0].status(context).why)
            self.report({"WARNING"}, words)
        elif wanted is not None and wanted.status(context).state == "failed":
            self.report({"WARNING"}, wanted.status(context).why)
        else:
            self.report({"INFO"}, reported("Parts, check and sheets are up to date."))
