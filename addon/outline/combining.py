"""Join, cut and common of selected outlines, by true segments."""

import bpy
from bpy.props import BoolProperty, EnumProperty

from ..locale.words import reported, translated
from ..state.work import plainly
from .outline_booleans import combine_outlines, other_outlines
from .properties import active_outline

__all__ = ["FLATWRIGHT_OT_combine_outlines"]

KINDS = (
    ("union", "Union", "One outline of all that are selected"),
    ("subtract", "Difference", "The active outline without what the others cover"),
    ("intersect", "Intersect", "What the active outline and the others all cover"),
)


class FLATWRIGHT_OT_combine_outlines(bpy.types.Operator):
    """Join the active outline with the other selected ones, cut them from it, or keep the common"""

    bl_idname = "flatwright.combine_outlines"
    bl_label = "Combine Outlines"
    bl_options = {"REGISTER", "UNDO"}

    kind: EnumProperty(name="Kind", items=KINDS)
    keep_others: BoolProperty(
        name="Keep the Others", description="Leave the other outlines in place", default=False
    )

    @classmethod
    def description(
        cls, context: bpy.types.Context, properties: bpy.types.OperatorProperties
    ) -> str:
        wanted = getattr(properties, "kind", "union")
        return next(text for kind, _, text in KINDS if kind == wanted)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set(translated("Go back to Object Mode first"))
            return False
        outline = active_outline(context)
        if outline is None or not other_outlines(context, outline):
            cls.poll_message_set(
                translated("Select two outlines or more; the last one selected is changed")
            )
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        made_of = combine_outlines(context, self.kind, active_outline(context), self.keep_others)
        self.report({"INFO"}, reported("Now {what}.", what=made_of))
        return {"FINISHED"}
