"""Sheet panel."""

from typing import Any

import bpy

from ..blender.units import show_fraction, show_sides
from ..locale.words import hinted, translated
from ..panels import StagePanel
from ..state.things import sheet_objects
from .troubles import troubles

__all__ = ["FLATWRIGHT_PT_sheet"]

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
    manual = "sheet"
    result = "sheets"

    def draw(self, context: bpy.types.Context) -> None:
        settings = context.scene.flatwright_layout
        column = self.layout.column()
        column.use_property_split = True
        column.use_property_decorate = False
        column.prop(settings, "margin")
        column.prop(settings, "gap")
        column.prop(settings, "correct_kerf")
        if any(stock.process == "router" for stock in context.scene.flatwright_stocks):
            column.prop(settings, "relieved")
            column.prop(settings, "relief")
        self.layout.operator("flatwright.lay_out", icon="SNAP_FACE")
        row = self.layout.row(align=True)
        row.prop(settings, "seconds")
        row.prop(settings, "seed")
        self.layout.operator("flatwright.improve_layout", icon="FULLSCREEN_EXIT")
        self.layout.operator("flatwright.pin_pieces", icon="PINNED")
        standing = self.standing(context)
        if standing.state == "stale":
            self.sentence("The sheets are out of date. Lay out again.", icon="ERROR")
            self.sentence(standing.why, icon="BLANK1")
        self._troubles(context)
        for sheet in sheet_objects(context):
            data = sheet.flatwright_sheet
            state = translated("kerf corrected" if data.kerf_corrected else "nominal")
            self.figures(
                (hinted("Sheet {number}", number=data.number), data.stock),
                ("Pieces", str(data.pieces)),
                ("Used", show_fraction(data.used)),
                ("Offcut", show_sides(data.offcut_mm)),
                ("Lines", state),
            )

    def _troubles(self, context: bpy.types.Context) -> None:
        found = troubles(context)
        if not found:
            return
        column = self.layout.box().column(align=True)
        for number, trouble in enumerate(found[:MOST]):
            row = column.row()
            row.label(text=trouble.label, icon=ICONS[trouble.state])
            shown = row.operator("flatwright.show_sheet_trouble", text="", icon="ZOOM_SELECTED")
            shown.index = number
        if len(found) > MOST:
            column.label(text=hinted("{number} more", number=len(found) - MOST))
        self.sentence(found[0].sentence)
