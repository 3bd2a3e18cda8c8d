"""What was cut, and what must be cut again."""

from typing import Any

import bpy

from ...panels import ListRow, StagePanel
from .states import reasons_in_words

__all__ = ["FLATWRIGHT_PT_recut", "FLATWRIGHT_UL_again"]


class FLATWRIGHT_UL_again(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_again"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        row = layout.split(factor=0.5)
        name = item.thing.name if item.thing is not None else "?"
        row.label(text=name, icon="FILE_REFRESH" if item.state == "AGAIN" else "QUESTION")
        if item.state == "AGAIN":
            row.label(text=reasons_in_words(item.reasons), translate=False)
        else:
            row.label(text="Not Marked")


class FLATWRIGHT_PT_recut(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_recut"
    bl_label = "What Was Cut"
    bl_parent_id = "FLATWRIGHT_PT_comparison"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        layout, settings = self.layout, context.scene.flatwright_recut
        layout.operator("flatwright.mark_as_cut", icon="CHECKMARK")
        layout.operator("flatwright.what_again", icon="QUESTION")
        layout.template_list(
            "FLATWRIGHT_UL_again", "", settings, "found", settings, "index", rows=2
        )
        row = layout.row(align=True)
        row.operator("flatwright.lay_out_again", icon="STICKY_UVS_DISABLE")
        row.operator("flatwright.lay_out_everything", text="", icon="LOOP_BACK")
        if settings.is_asked and not settings.found:
            self.sentence("Nothing must be cut again.", icon="CHECKMARK")
