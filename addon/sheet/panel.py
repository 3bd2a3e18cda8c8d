"""Sheet panel."""

from typing import Any

import bpy

from ..blender.units import show_fraction, show_sides
from ..locale.words import hinted, in_words, reported_of, translated
from ..panels import StagePanel
from ..part.properties import active_stock
from ..state.things import sheet_objects
from .offcuts import offcut_objects
from .troubles import troubles

__all__ = ["FLATWRIGHT_PT_holding", "FLATWRIGHT_PT_offcuts", "FLATWRIGHT_PT_sheet"]

ICONS: dict[str, Any] = {
    "overlap": "CANCEL",
    "close": "ERROR",
    "outside": "EXPORT",
    "lost": "QUESTION",
}
MOST = 6
"""So many lines about troubles; the next ones show when these are mended."""


class FLATWRIGHT_PT_sheet(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_sheet"
    bl_label = "Sheet"
    stage = "sheet"
    manual = "sheet"
    result = "sheets"

    @classmethod
    def summary(cls, context: bpy.types.Context) -> str:
        sheets = sheet_objects(context)
        return reported_of(len(sheets), "{number} sheet", "{number} sheets") if sheets else ""

    def draw(self, context: bpy.types.Context) -> None:
        settings = context.scene.flatwright_layout
        self.settings(settings, "sets")
        row = self.layout.row(align=True)
        row.prop(settings, "margin")
        row.prop(settings, "gap")
        self.layout.prop(settings, "correct_kerf")
        self.layout.operator("flatwright.lay_out", icon="SNAP_FACE")
        self.layout.operator("flatwright.pin_pieces", icon="PINNED")
        self.layout.operator("flatwright.improve_layout", icon="FULLSCREEN_EXIT")
        row = self.layout.row(align=True)
        row.prop(settings, "seconds")
        row.prop(settings, "seed")
        if self.standing(context).state == "stale":
            self.sentence("The sheets are out of date. Press Lay Out Sheets.", icon="ERROR")
        self.why_not_current(context)
        self._troubles(context)
        for sheet in sheet_objects(context):
            data = sheet.flatwright_sheet
            state = translated("kerf corrected" if data.kerf_corrected else "nominal")
            called = data.label or hinted("Sheet {number}", number=data.number)
            self.figures(
                (called, data.stock),
                ("Pieces", f"{data.pieces}, {show_fraction(data.used)}"),
                ("Offcut", "" if data.is_offcut else show_sides(data.offcut_mm)),
                ("Lines", state),
            )

    def _troubles(self, context: bpy.types.Context) -> None:
        found = troubles(context)
        if not found:
            return
        column = self.layout.box().column(align=True)
        for number, trouble in enumerate(found[:MOST]):
            row = column.row()
            row.label(text=in_words(trouble.label), icon=ICONS[trouble.state])
            shown = row.operator("flatwright.show_sheet_trouble", text="", icon="ZOOM_SELECTED")
            shown.index = number
        if len(found) > MOST:
            column.label(text=hinted("{number} more", number=len(found) - MOST))
        self.told(found[0].told)


class FLATWRIGHT_PT_holding(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_holding"
    bl_label = "Relief and Bridges"
    bl_parent_id = "FLATWRIGHT_PT_sheet"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        settings = context.scene.flatwright_layout
        is_routed = any(stock.process == "router" for stock in context.scene.flatwright_stocks)
        self.settings(settings, "relieved", "relief", enabled=is_routed)
        self.settings(settings, "bridges")
        self.settings(settings, "bridge", enabled=settings.bridges > 0)
        self.settings(settings, "lead")
        self.layout.prop(settings, "shows_order")


class FLATWRIGHT_PT_offcuts(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_offcuts"
    bl_label = "Leftover Sheets"
    bl_parent_id = "FLATWRIGHT_PT_sheet"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        self.layout.operator("flatwright.keep_as_sheet", icon="IMPORT")
        self.layout.operator("flatwright.keep_leftovers", icon="MOD_BOOLEAN")
        stock = active_stock(context.scene)
        for thing in offcut_objects(context.scene, stock.name) if stock is not None else ():
            row = self.layout.split(factor=0.6)
            row.prop(thing, "name", text="")
            row.prop(thing.flatwright_offcut, "is_used")
