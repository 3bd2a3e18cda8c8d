"""Keep lines on parts and take them off again; which face of a part comes out good."""

from typing import Any

import bpy
from bpy.props import EnumProperty

from ..locale.words import reported, reported_of, translated
from ..panels import StagePanel
from ..state.work import plainly
from .keeping import count_lines, drop_lines, keep_on, lines_among, part_among
from .properties import stock_of

__all__ = [
    "FLATWRIGHT_OT_drop_lines",
    "FLATWRIGHT_OT_keep_lines",
    "FLATWRIGHT_PT_marks",
]

PURPOSES = (
    ("mark", "Engrave", "The surface is marked"),
    ("score", "Score", "Cut part way into the sheet, to bend it there or to see the line"),
    ("fold", "Fold", "Cut through in dashes, to fold card there"),
)
SIDES = (
    ("hidden", "Hidden Face", "The back where the stock has a good face; else the upper face"),
    ("upper", "Upper Face", "The face the part's own Z axis points out of"),
    ("lower", "Lower Face", "The other face; drawn as seen through the part from above"),
)


class FLATWRIGHT_OT_keep_lines(bpy.types.Operator):
    """Keep the selected lines on the active part, to be engraved or scored and cut with it"""

    bl_idname = "flatwright.keep_lines"
    bl_label = "Keep Lines on Part"
    bl_options = {"REGISTER", "UNDO"}

    purpose: EnumProperty(name="Lines Are", items=PURPOSES)
    side: EnumProperty(name="Face", items=SIDES, default="upper")

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set(translated("Go back to Object Mode first"))
            return False
        if part_among(context) is None or not lines_among(context):
            cls.poll_message_set(translated("Select lines, then the part to keep them on"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        part = part_among(context)
        side = None if self.side == "hidden" else self.side
        count = keep_on(part, lines_among(context), self.purpose, side)
        told = reported_of(
            count,
            "{number} line kept on {part}.",
            "{number} lines kept on {part}.",
            part=part.name,
        )
        self.report({"INFO"}, told)
        return {"FINISHED"}


class FLATWRIGHT_OT_drop_lines(bpy.types.Operator):
    """Take every line that was kept on the active part off it"""

    bl_idname = "flatwright.drop_lines"
    bl_label = "Take Lines Off"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        part = part_among(context)
        if part is None or not count_lines(part):
            cls.poll_message_set(translated("Select a part with lines kept on it"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        part = part_among(context)
        drop_lines(part)
        self.report({"INFO"}, reported("{part} has no lines any more.", part=part.name))
        return {"FINISHED"}


class FLATWRIGHT_PT_marks(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_marks"
    bl_label = "Marks and Faces"
    bl_parent_id = "FLATWRIGHT_PT_part"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_header(self, context: bpy.types.Context) -> None:
        """No tick: this is no stage of the job."""

    def draw(self, context: bpy.types.Context) -> None:
        thing: Any = context.object
        if thing is not None and thing.flatwright_part.is_part:
            stock = stock_of(context.scene, thing)
            if stock is not None and stock.good_face != "both":
                column = self.layout.column()
                column.use_property_split = True
                column.use_property_decorate = False
                column.prop(thing.flatwright_part, "good_side")
            self.figures(("Lines Kept", str(count_lines(thing))))
        self.layout.operator("flatwright.keep_lines", icon="GREASEPENCIL")
        self.layout.operator("flatwright.bend_between", icon="MOD_SIMPLEDEFORM")
        self.layout.operator("flatwright.drop_lines", icon="X")
        settings = context.scene.flatwright_layout
        column = self.layout.column()
        column.use_property_split = True
        column.use_property_decorate = False
        column.prop(settings, "mark_names")
        column.prop(settings, "mark_joints")
