"""What makes an outline cut as it is seen: its scale applied, its doubtful edges settled."""

import bpy

from ..locale.words import reported, reported_of, translated
from ..state.work import plainly
from .properties import active_outline
from .scale import apply_scale, scaled_outlines

__all__ = ["FLATWRIGHT_OT_apply_scale", "FLATWRIGHT_OT_settle_edges"]


class FLATWRIGHT_OT_apply_scale(bpy.types.Operator):
    """Make scaled and mirrored outlines the size that is seen, so that they are cut so"""

    bl_idname = "flatwright.apply_scale"
    bl_label = "Apply Scale"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not scaled_outlines(context):
            cls.poll_message_set(translated("No outline is scaled"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        things = scaled_outlines(context)
        for thing in things:
            apply_scale(thing)
        self.report(
            {"INFO"},
            reported_of(
                len(things),
                "{number} outline is its own size.",
                "{number} outlines are their size.",
            ),
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_settle_edges(bpy.types.Operator):
    """Say that you looked at the edges that could be read in two ways, and that they are right"""

    bl_idname = "flatwright.settle_edges"
    bl_label = "Edges Are Right"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        outline = active_outline(context)
        if outline is None or not outline.flatwright_outline.open_doubts:
            cls.poll_message_set(translated("Select an outline with edges in doubt"))
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        active_outline(context).flatwright_outline.open_doubts = 0
        self.report({"INFO"}, reported("The edges stay as they are."))
        return {"FINISHED"}
