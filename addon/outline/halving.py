"""Half a shape drawn as an open curve, made whole."""

import bpy

from ..locale.words import reported, translated
from ..state.work import plainly
from .halves import half_of, make_whole

__all__ = ["FLATWRIGHT_OT_make_whole"]


class FLATWRIGHT_OT_make_whole(bpy.types.Operator):
    """Add the mirror image to half a shape, about the line through the open curve's two ends"""

    bl_idname = "flatwright.make_whole"
    bl_label = "Mirror Half Shape"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set(translated("Go back to Object Mode first"))
            return False
        if half_of(context.object) is None:
            cls.poll_message_set(translated("Select an open curve that draws half of a shape"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        self.report({"INFO"}, reported("Whole: {what}.", what=make_whole(context.object)))
        return {"FINISHED"}
