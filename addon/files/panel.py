"""File panel."""

from typing import Any

import bpy

from ..locale.words import hinted, reported_of
from ..panels import ListRow, StagePanel
from ..part.properties import RATES, active_stock
from ..part.stock_library import library
from ..state.job import next_step
from ..state.things import sheet_objects, undecided
from .finding_list import findings_hold
from .kept_kerf import kept_kerf
from .machines import scale_of
from .times import time_told

__all__ = ["FLATWRIGHT_PT_files", "FLATWRIGHT_PT_times", "FLATWRIGHT_UL_findings"]


class FLATWRIGHT_UL_findings(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_findings"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        row = layout.row()
        row.label(text=item.label, icon="CANCEL" if item.severity == "stop" else "ERROR")
        row.operator("flatwright.show_finding", text="", icon="ZOOM_SELECTED").index = index


class FLATWRIGHT_PT_files(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_files"
    bl_label = "Files"
    stage = "files"
    manual = "files"
    result = "files"

    @classmethod
    def summary(cls, context: bpy.types.Context) -> str:
        settings = context.scene.flatwright_readiness
        if not settings.checked or not settings.findings:
            return ""
        return reported_of(len(settings.findings), "{number} problem", "{number} problems")

    def draw(self, context: bpy.types.Context) -> None:
        settings = context.scene.flatwright_readiness
        self.layout.operator("flatwright.check_readiness", icon="CHECKMARK")
        self.layout.operator("flatwright.save_cut_files", icon="EXPORT")
        self.sentence(
            "Never leave a cutter running alone. Know what the sheet gives off before a laser "
            "meets it. The manual's cautions say more.",
            icon="ERROR",
        )
        self.why_not_current(context)
        if next_step(context) is None:
            self.sentence("Everything is done. Cut a test piece before the whole sheet.")
        hidden = undecided(context)
        if hidden:
            names = ", ".join(thing.name for thing in hidden)
            self.sentence(hinted("Hidden: {names}. Cut or leave out?", names=names), icon="HIDE_ON")
            row = self.layout.row(align=True)
            row.operator("flatwright.decide_hidden", text="Cut").choice = "CUT"
            row.operator("flatwright.decide_hidden", text="Leave Out").choice = "LEAVE"
        if settings.checked:
            self.draw_findings(context)

    def draw_findings(self, context: bpy.types.Context) -> None:
        """List what the last check found, the chosen one in full."""
        settings = context.scene.flatwright_readiness
        if not findings_hold(context):
            self.sentence("Something changed since the last check. Press Check Before Cutting.")
        if not settings.findings:
            self.sentence("No problems found.", icon="CHECKMARK")
            return
        self.layout.template_list(
            "FLATWRIGHT_UL_findings", "", settings, "findings", settings, "index", rows=2
        )
        if settings.index < len(settings.findings):
            finding = settings.findings[settings.index]
            self.kept(finding.told, finding.sentence)


class FLATWRIGHT_PT_times(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_times"
    bl_label = "Machine and Time"
    bl_parent_id = "FLATWRIGHT_PT_files"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        settings, shelf = context.scene.flatwright_readiness, library(context)
        if shelf is not None:
            row = self.layout.row()
            row.enabled = bool(settings.machine or shelf.machines)
            row.prop_search(settings, "machine", shelf, "machines")
            row = self.layout.row()
            row.enabled = scale_of(context) is not None or settings.corrects_machine
            row.prop(settings, "corrects_machine")
        stock = active_stock(context.scene)
        if stock is not None:
            kept = kept_kerf(context)
            told, day = (kept.told(context.scene), kept.day) if kept is not None else ("", "")
            self.figures(("Stock", stock.name), ("Kept Kerf", told), ("Kept On", day))
            self.layout.operator("flatwright.use_kept_kerf", icon="IMPORT")
            column = self.layout.column(align=True)
            for name in RATES:
                column.prop(stock, name)
        rows = [
            (hinted("Sheet {number}", number=o.flatwright_sheet.number), time_told(context, o))
            for o in sheet_objects(context)
        ]
        self.figures(*rows, label_share=0.25)
