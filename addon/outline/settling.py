"""What makes an outline cut as it is seen: its scale applied, its doubtful edges settled."""

from typing import Any

import bpy
from bpy.props import IntProperty

from ..locale.words import reported_of, translated
from ..state.work import plainly
from .properties import active_outline, selected_outlines
from .scale import apply_scale, scaled_outlines
from .tracing.doubts import look_at_doubt, settle

__all__ = [
    "FLATWRIGHT_OT_apply_scale",
    "FLATWRIGHT_OT_settle_edges",
    "FLATWRIGHT_OT_show_doubt",
]


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


class _InDoubt:
    """Mixin: needs an outline with edges that nobody has settled."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not doubtful(context):
            said: Any = cls
            said.poll_message_set(translated("Select an outline with edges in doubt"))
            return False
        return True


class FLATWRIGHT_OT_settle_edges(_InDoubt, bpy.types.Operator):
    """Say that you looked at the edges in doubt, and that they are right"""

    bl_idname = "flatwright.settle_edges"
    bl_label = "Edges Are Right"
    bl_options = {"REGISTER", "UNDO"}

    index: IntProperty(name="Number", default=-1, min=-1, options={"SKIP_SAVE"})

    def execute(self, context: bpy.types.Context) -> set[str]:
        things = doubtful(context) if self.index < 0 else [active_outline(context)]
        for thing in things:
            settle(thing, self.index if self.index >= 0 else None)
        left = sum(thing.flatwright_outline.open_doubts for thing in things)
        if left:
            told = reported_of(
                left, "{number} edge is still in doubt.", "{number} edges are in doubt."
            )
        else:
            told = reported_of(
                len(things),
                "The edges of {number} outline stay as they are.",
                "The edges of {number} outlines stay as they are.",
            )
        self.report({"INFO"}, told)
        return {"FINISHED"}


class FLATWRIGHT_OT_show_doubt(bpy.types.Operator):
    """Put the 3D cursor on the edge in doubt and look at it from near"""

    bl_idname = "flatwright.show_doubt"
    bl_label = "Show Edge in Doubt"
    bl_options = {"REGISTER", "UNDO"}

    index: IntProperty(name="Number", min=0, options={"SKIP_SAVE"})

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        outline = active_outline(context)
        if outline is None or not outline.flatwright_outline.open_doubts:
            cls.poll_message_set(translated("Select an outline with edges in doubt"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        look_at_doubt(context, active_outline(context), self.index)
        return {"FINISHED"}
