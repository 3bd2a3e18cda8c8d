"""Outline panel."""

import bpy

from ..blender.units import show_length, show_size
from ..panels import StagePanel
from ..photo.properties import active_photo
from .doubt_record import open_doubts
from .doubts_shown import doubt_text
from .properties import active_outline
from .scale import scaled_outlines
from .suggestion_record import suggestions_hold

__all__ = ["FLATWRIGHT_PT_outline"]

MOST_DOUBTS = 5
"""So many are listed at once; settled ones make room for the next."""


class FLATWRIGHT_PT_outline(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_outline"
    bl_label = "Outline"
    manual = "3. **Outline"
    result = "outline"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return active_photo(context) is not None or active_outline(context) is not None

    def draw(self, context: bpy.types.Context) -> None:
        column = self.layout.column()
        column.operator("flatwright.trace_outline", icon="GREASEPENCIL")
        column.operator("flatwright.trace_all", icon="STICKY_UVS_LOC")
        clicks = column.column(align=True)
        clicks.operator("flatwright.add_to_trace", icon="ADD")
        clicks.operator("flatwright.remove_from_trace", icon="REMOVE")
        column.operator("flatwright.trace_drawn", icon="OUTLINER_OB_GREASEPENCIL")
        column.operator("flatwright.import_outline", icon="IMPORT")
        column.operator("flatwright.suggest", icon="LIGHT")
        self.draw_suggestions(context)
        column = self.layout.column()
        row = column.row(align=True)
        row.operator("flatwright.make_symmetric", icon="MOD_MIRROR").place = "find"
        row.operator("flatwright.make_symmetric", text="", icon="EYEDROPPER").place = "points"
        column.operator("flatwright.make_whole", icon="MOD_MIRROR")
        outline = active_outline(context)
        standing = self.standing(context)
        if standing.state in ("stale", "failed"):
            self.sentence(standing.why, icon="ERROR")
        if scaled_outlines(context):
            self.layout.operator("flatwright.apply_scale", icon="FULLSCREEN_ENTER")
        if outline is not None:
            self.layout.prop(outline.flatwright_outline, "show_whole")
            self.draw_doubts(outline)
        if outline is None or not outline.flatwright_outline.is_outline:
            return
        row = column.row(align=True)
        for kind, text in (("union", "Join"), ("subtract", "Cut"), ("intersect", "Common")):
            row.operator("flatwright.combine_outlines", text=text).kind = kind
        settings = outline.flatwright_outline
        self.layout.prop(settings, "show_sizes")
        self.figures(("Size", show_size(outline)), ("Made Of", settings.made_of))
        if settings.symmetry:
            self.figures(
                ("Symmetry", settings.symmetry),
                ("Hand Was Off", f"≤ {show_length(settings.deviation_max_mm)}"),
                ("", f"{show_length(settings.deviation_rms_mm)} rms"),
            )
            column = self.layout.column(align=True)
            column.prop(settings, "show_deviation")
            column.prop(settings, "show_axis")

    def draw_doubts(self, outline: bpy.types.Object) -> None:
        """List the edges that were not read surely, each with a magnifier and a tick."""
        if not outline.flatwright_outline.open_doubts:
            return
        column = self.layout.column(align=True)
        for index, doubt in list(open_doubts(outline))[:MOST_DOUBTS]:
            row = column.row(align=True)
            row.label(text=doubt_text(doubt), icon="ERROR")
            row.operator("flatwright.show_doubt", text="", icon="ZOOM_SELECTED").index = index
            row.operator("flatwright.settle_edges", text="", icon="CHECKMARK").index = index
        column.operator("flatwright.settle_edges", icon="CHECKMARK")

    def draw_suggestions(self, context: bpy.types.Context) -> None:
        """List what the outline nearly is, the chosen suggestion in full."""
        outline = active_outline(context)
        if outline is None or not outline.flatwright_suggestions.items:
            return
        kept = outline.flatwright_suggestions
        if not suggestions_hold(outline):
            self.sentence("The outline has changed since; ask for suggestions again.")
            return
        self.layout.template_list(
            "FLATWRIGHT_UL_suggestions", "", kept, "items", kept, "index", rows=3
        )
        if kept.index < len(kept.items):
            self.sentence(kept.items[kept.index].sentence)
        self.layout.operator(
            "flatwright.accept_suggestion", text="Accept All", icon="CHECKMARK"
        ).index = -1
