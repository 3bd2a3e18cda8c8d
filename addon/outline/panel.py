"""Outline panel."""

from typing import Any

import bpy

from ..blender.units import show_length, show_sides
from ..locale.words import hinted
from ..panels import ListRow, StagePanel
from ..state.things import outline_objects
from .properties import active_outline
from .sizes_shown import whole_size_text
from .suggestion_record import suggestions_hold
from .tracing.doubts_shown import doubt_text

__all__ = [
    "FLATWRIGHT_PT_doubts",
    "FLATWRIGHT_PT_outline",
    "FLATWRIGHT_PT_outline_drawn",
    "FLATWRIGHT_PT_outline_shown",
    "FLATWRIGHT_PT_suggestions",
    "FLATWRIGHT_UL_doubts",
]


class FLATWRIGHT_PT_outline(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_outline"
    bl_label = "Outline"
    stage = "outline"
    manual = "outline"
    result = "outline"

    @classmethod
    def summary(cls, context: bpy.types.Context) -> str:
        outline = active_outline(context)
        if outline is not None and outline.flatwright_outline.is_outline:
            return whole_size_text(outline, short=True)
        count = len(outline_objects(context))
        return str(count) if count else ""

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        column = layout.column(align=True)
        column.operator("flatwright.trace_outline", icon="GREASEPENCIL")
        column.operator("flatwright.trace_all", icon="STICKY_UVS_LOC")
        row = column.row(align=True)
        row.operator("flatwright.add_to_trace", text="Add", icon="ADD")
        row.operator("flatwright.remove_from_trace", text="Remove", icon="REMOVE")
        row = layout.row(align=True)
        row.operator("flatwright.make_symmetric", icon="MOD_MIRROR").place = "find"
        row.operator("flatwright.make_symmetric", text="", icon="EYEDROPPER").place = "points"
        self.draw_found(context)

    def draw_found(self, context: bpy.types.Context) -> None:
        """Write what is known of the active outline, in rows that are always there."""
        outline = active_outline(context)
        name = size = made_of = symmetry = off = doubts = ""
        if outline is None or not outline.flatwright_outline.is_outline:
            name = hinted("select an outline")
        else:
            settings = outline.flatwright_outline
            name, size, made_of = outline.name, whole_size_text(outline), settings.made_of
            doubts = str(settings.open_doubts)
            if settings.symmetry:
                symmetry = settings.symmetry
                most, rms = settings.deviation_max_mm, settings.deviation_rms_mm
                off = "≤ " + show_sides((most, rms), between=", rms ")
                if 0.0 < most <= settings.deviation_chance_mm:
                    off = hinted("within ± {off}", off=show_length(settings.deviation_chance_mm))
        self.figures(
            ("Outline", name),
            ("Size", size),
            ("Made Of", made_of),
            ("Symmetry", symmetry),
            ("Hand-Cut Error", off),
            ("Edges in Doubt", doubts),
        )
        self.why_not_current(context)


class FLATWRIGHT_UL_doubts(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_doubts"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        row = layout.row(align=True)
        row.label(text=doubt_text(item), icon="CHECKMARK" if item.is_settled else "ERROR")
        row.operator("flatwright.show_doubt", text="", icon="ZOOM_SELECTED").index = index
        row.operator("flatwright.settle_edges", text="", icon="CHECKMARK").index = index


class FLATWRIGHT_PT_doubts(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_doubts"
    bl_label = "Edges in Doubt"
    bl_parent_id = "FLATWRIGHT_PT_outline"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        """List the edges that were not read surely, each with a magnifier and a tick."""
        self.layout.operator("flatwright.retake", icon="FILE_REFRESH")
        outline = active_outline(context)
        if outline is None:
            self.sentence("Select an outline with edges in doubt")
            return
        settings = outline.flatwright_outline
        self.layout.template_list(
            "FLATWRIGHT_UL_doubts", "", settings, "doubts", settings, "doubt_index", rows=3
        )
        self.layout.operator("flatwright.settle_edges", icon="CHECKMARK")


class FLATWRIGHT_PT_outline_drawn(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_outline_drawn"
    bl_label = "Draw and Combine"
    bl_parent_id = "FLATWRIGHT_PT_outline"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        """Other ways to an outline than a trace in the photo, and what is made of several."""
        column = self.layout.column(align=True)
        column.operator("flatwright.trace_drawn", icon="OUTLINER_OB_GREASEPENCIL")
        column.operator("flatwright.import_outline", icon="IMPORT")
        column.operator("flatwright.make_whole", icon="MOD_MIRROR")
        column.operator("flatwright.apply_scale", icon="FULLSCREEN_ENTER")
        row = self.layout.row(align=True)
        for kind, text in (
            ("union", "Union"),
            ("subtract", "Difference"),
            ("intersect", "Intersect"),
        ):
            row.operator("flatwright.combine_outlines", text=text).kind = kind


class FLATWRIGHT_PT_suggestions(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_suggestions"
    bl_label = "Suggestions"
    bl_parent_id = "FLATWRIGHT_PT_outline"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        """List what the outline nearly is, the chosen suggestion in full."""
        layout = self.layout
        layout.operator("flatwright.suggest", icon="LIGHT")
        layout.operator(
            "flatwright.accept_suggestion", text="Accept All", icon="CHECKMARK"
        ).index = -1
        outline = active_outline(context)
        if outline is None or not outline.flatwright_suggestions.items:
            return
        kept = outline.flatwright_suggestions
        if not suggestions_hold(outline):
            self.sentence("The outline has changed since. Press Suggest Corrections.")
            return
        layout.template_list("FLATWRIGHT_UL_suggestions", "", kept, "items", kept, "index", rows=3)
        if kept.index < len(kept.items):
            self.sentence(kept.items[kept.index].sentence)


class FLATWRIGHT_PT_outline_shown(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_outline_shown"
    bl_label = "Show in Viewport"
    bl_parent_id = "FLATWRIGHT_PT_outline"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        outline = active_outline(context)
        shown = (
            ("show_sizes", "Show Sizes"),
            ("show_deviation", "Show Hand-Cut Error"),
            ("show_axis", "Show Axis"),
            ("show_whole", "Preview Mirrored Half"),
        )
        self.switches(outline.flatwright_outline if outline is not None else None, shown)
