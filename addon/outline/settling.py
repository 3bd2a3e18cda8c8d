"""What makes an outline cut as it is seen: its scale applied, its doubtful edges settled."""

import bpy

from ..locale.words import reported_of, translated
from ..state.work import plainly
from .properties import active_outline, selected_outlines
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


def doubtful(context: bpy.types.Context) -> list[bpy.types.Object]:
    """The selected outlines and the active one, as far as edges of theirs are in doubt."""
    found = {thing.name: thing for thing in selected_outlines(context)}
    active = active_outline(context)
    if active is not None:
        found[active.name] = active
    return [thing for thing in found.values() if thing.flatwright_outline.open_doubts]


class FLATWRIGHT_OT_settle_edges(bpy.types.Operator):
    """Say that you looked at the edges that could be read in two ways, and that they are right"""

    bl_idname = "flatwright.settle_edges"
    bl_label = "Edges Are Right"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not doubtful(context):
            cls.poll_message_set(translated("Select an outline with edges in doubt"))
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        things = doubtful(context)
        for thing in things:
            thing.flatwright_outline.open_doubts = 0
        words = reported_of(
            len(things),
            "The edges of {number} outline stay as they are.",
            "The edges of {number} outlines stay as they are.",
        )
        self.report({"INFO"}, words)
        return {"FINISHED"}
