"""The rows of a measured object."""

from typing import Any

import bpy

from ...locale.words import hinted
from ...panels import ListRow, StagePanel
from .making import is_of_changed_outline

__all__ = ["FLATWRIGHT_PT_measured", "FLATWRIGHT_UL_readings"]


class FLATWRIGHT_UL_readings(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_readings"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        row = layout.row(align=True)
        row.prop(item, "height", text="", emboss=False)
        row.prop(item, "width", text="", emboss=False)
        if item.depth_mm:
            row.prop(item, "depth", text="", emboss=False)


class FLATWRIGHT_PT_measured(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_measured"
    bl_label = "Measured Object"
    bl_parent_id = "FLATWRIGHT_PT_assembly"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        layout, thing = self.layout, context.object
        layout.operator("flatwright.add_measured", icon="MESH_CYLINDER")
        row = layout.column(align=True)
        row.operator("flatwright.turn_outline", icon="MOD_SCREW")
        row.operator("flatwright.pull_outline", icon="MOD_SOLIDIFY")
        if thing is None or thing.flatwright_measured.made_from == "NONE":
            layout.label(text=hinted("select a measured object"), translate=False)
            return
        kept = thing.flatwright_measured
        if kept.made_from == "ROWS":
            self.draw_rows(kept)
        else:
            own = "side" if kept.made_from == "TURNED" else "height"
            self.settings(kept, "outline", own, "doubt")
        if kept.trouble:
            self.kept(kept.trouble_record, kept.trouble, icon="ERROR")
        if is_of_changed_outline(thing):
            self.sentence("Its outline has changed since.", icon="ERROR")
        layout.operator("flatwright.make_measured", icon="FILE_REFRESH")

    def draw_rows(self, kept: Any) -> None:
        """The list of rows, and the ± of the chosen one."""
        row = self.layout.row()
        row.template_list("FLATWRIGHT_UL_readings", "", kept, "rows", kept, "row_index", rows=4)
        side = row.column(align=True)
        side.operator("flatwright.add_reading", text="", icon="ADD")
        side.operator("flatwright.remove_reading", text="", icon="REMOVE")
        side.operator("flatwright.paste_readings", text="", icon="PASTEDOWN")
        if kept.row_index < len(kept.rows):
            self.settings(kept.rows[kept.row_index], "depth", "doubt", "height_doubt")
