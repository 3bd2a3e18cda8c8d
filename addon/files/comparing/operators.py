"""Compare a cut part with its drawing, and keep what it teaches."""

from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty

from ...blender.units import degrees_of, given_length, typed_length
from ...locale.words import translated
from ...state.work import LongWork, Work, plainly
from .gathering import comparing, part_to_compare, show_compared, traced_one
from .learning import keep_learned

__all__ = ["FLATWRIGHT_OT_compare_with_drawing", "FLATWRIGHT_OT_keep_comparison"]


class FLATWRIGHT_OT_compare_with_drawing(LongWork, bpy.types.Operator):
    """Lay the traced outline of a cut part on its drawing: deviations, kerf, the machine's scale"""

    bl_idname = "flatwright.compare_with_drawing"
    bl_label = "Compare with Drawing"
    bl_options = {"REGISTER", "UNDO"}

    of: EnumProperty(
        name="Compare With",
        items=(
            ("PART", "Part", "The selected part, or that of the selected piece on a sheet"),
            ("STRIPS", "Kerf Test", "The frame of the kerf test, its strips taken out"),
        ),
    )
    as_on_sheet: BoolProperty(
        name="As on Its Sheet",
        description="The machine's axes are those of the sheet the part lies on",
        default=True,
    )
    turn: FloatProperty(
        name="Turned",
        description="From the drawing's x axis to the machine's, as it was cut",
        subtype="ANGLE",
    )
    as_stock: BoolProperty(
        name="As Its Stock Says",
        description="Its file was corrected for the kerf that stands with its stock",
        default=True,
    )
    corrected_mm: FloatProperty(default=0.0, min=0.0, options={"HIDDEN"})
    corrected: typed_length(
        name="Corrected Kerf", description="The kerf that the part's file was corrected for"
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if traced_one(context) is None:
            cls.poll_message_set(
                translated("Trace the cut part in its photo, then select the outline")
            )
            return False
        return True

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if part_to_compare(context, traced_one(context)) is not None:
            return self.start(context)
        # Without a part it can only be the kerf test, which a person is to see.
        self.of = "STRIPS"
        return self.ask_for_settings(context)

    def draw(self, context: bpy.types.Context) -> None:
        self.layout.use_property_split = True
        self.layout.prop(self, "of")
        rows = [("as_on_sheet", "turn")]
        if self.of == "PART":
            # The lines of the kerf test are cut as they stand.
            rows.append(("as_stock", "corrected"))
        for switch, name in rows:
            self.layout.prop(self, switch)
            row = self.layout.row()
            row.enabled = not getattr(self, switch)
            row.prop(self, name)

    def gather(self, context: bpy.types.Context) -> Work:
        turn = None if self.as_on_sheet else degrees_of(self.turn)
        corrected = None if self.as_stock else given_length(self, "corrected")
        return comparing(context, self.of, turn, corrected)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        told = show_compared(context, result)
        self.report({"INFO"}, told)


class FLATWRIGHT_OT_keep_comparison(bpy.types.Operator):
    """Keep the kerf with stock and machine, and scale and squareness with the machine"""

    bl_idname = "flatwright.keep_comparison"
    bl_label = "Keep Kerf and Scale"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        thing = traced_one(context)
        if thing is None or thing.flatwright_compared.of == "NONE":
            cls.poll_message_set(translated("Press Compare with Drawing first"))
            return False
        if not thing.flatwright_compared.tells_kerf:
            cls.poll_message_set(
                translated(
                    "The kerf's ± is more than a quarter of it: trace a larger part with holes"
                )
            )
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        self.report({"INFO"}, keep_learned(context, traced_one(context)))
        return {"FINISHED"}
