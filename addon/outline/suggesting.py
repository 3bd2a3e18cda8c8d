"""What the outline was probably meant to be: listed, shown, and accepted one at a time or all."""

from typing import Any

import bpy
from bpy.props import (
    CollectionProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    StringProperty,
)

from ..blender.units import given_length, show_length, typed_length
from ..locale.words import reported, reported_of, translated
from ..panels import ListRow
from ..state.work import LongWork, Work
from .properties import active_outline
from .suggestion_record import (
    accepting,
    finding,
    keep_found,
    measured_doubt,
    show_accepted,
    suggestions_hold,
)

__all__ = [
    "FLATWRIGHT_OT_accept_suggestion",
    "FLATWRIGHT_OT_suggest",
    "FLATWRIGHT_PG_suggestion",
    "FLATWRIGHT_PG_suggestions",
    "FLATWRIGHT_UL_suggestions",
]


class FLATWRIGHT_PG_suggestion(bpy.types.PropertyGroup):
    """One thing the outline nearly is; its place is in the outline's own mm."""

    kind: StringProperty()
    sentence: StringProperty()
    edges: FloatVectorProperty(size=2)
    place_mm: FloatVectorProperty(size=2)
    movement_mm: FloatProperty()


class FLATWRIGHT_PG_suggestions(bpy.types.PropertyGroup):
    """What was found the last time somebody asked, and the outline it was found on."""

    items: CollectionProperty(type=FLATWRIGHT_PG_suggestion)
    index: IntProperty(name="Suggestion", min=0)
    record: StringProperty()
    doubt_mm: FloatProperty(default=0.15)


class _OnOutline:
    """Mixin: an outline is selected and not being edited."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set(translated("Go back to Object Mode first"))  # type: ignore[attr-defined]
            return False
        if active_outline(context) is None:
            cls.poll_message_set(translated("Select an outline, or press Trace Outline"))  # type: ignore[attr-defined]
            return False
        return True


class FLATWRIGHT_OT_suggest(_OnOutline, LongWork, bpy.types.Operator):
    """List right angles, parallels, equal radii and common centres that the outline nearly has"""

    bl_idname = "flatwright.suggest"
    bl_label = "Suggest Corrections"
    bl_options = {"REGISTER", "UNDO"}

    doubt_mm: FloatProperty(min=0.0, options={"HIDDEN", "SKIP_SAVE"})
    doubt: typed_length(
        name="Accuracy ±",
        description="How far an edge may move: about as much as cutting and measuring leave open",
        options={"SKIP_SAVE"},
    )

    def draw(self, context: bpy.types.Context) -> None:
        self.layout.use_property_split = True
        self.layout.prop(self, "doubt")

    def gather(self, context: bpy.types.Context) -> Work:
        self._thing: Any = active_outline(context)
        self._doubt_mm = given_length(self, "doubt", measured_doubt(self._thing))
        return finding(self._thing, self._doubt_mm)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        count = keep_found(self._thing, result, self._doubt_mm)
        within = show_length(self._doubt_mm)
        words = reported(
            "Nothing to suggest within {within}, the outline's accuracy.", within=within
        )
        if count:
            words = reported_of(
                count,
                "{number} suggestion within {within}, the outline's accuracy.",
                "{number} suggestions within {within}, the outline's accuracy.",
                within=within,
            )
        self.report({"INFO"}, words)


class FLATWRIGHT_OT_accept_suggestion(_OnOutline, LongWork, bpy.types.Operator):
    """Make the outline what is suggested; everything else moves as little as can be"""

    bl_idname = "flatwright.accept_suggestion"
    bl_label = "Accept Suggestion"
    bl_options = {"REGISTER", "UNDO"}

    index: IntProperty(
        name="Suggestion",
        description="Which one, counted from 0; -1 for all at once",
        default=-1,
        min=-1,
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not super().poll(context):
            return False
        outline = active_outline(context)
        if not outline.flatwright_suggestions.items:
            cls.poll_message_set(translated("Press Suggest Corrections first"))
            return False
        if not suggestions_hold(outline):
            cls.poll_message_set(
                translated("The outline has changed since. Press Suggest Corrections")
            )
            return False
        return True

    def gather(self, context: bpy.types.Context) -> Work:
        self._thing: Any = active_outline(context)
        return accepting(self._thing, self.index)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        show_accepted(self._thing, result)
        self.report(
            {"INFO"},
            reported(
                "Corrected; nothing moved by more than {size}.",
                size=show_length(result.moved_mm, digits=6),
            ),
        )


class FLATWRIGHT_UL_suggestions(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_suggestions"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        row = layout.row()
        row.label(text=f"{item.kind.capitalize()}  ({item.movement_mm:.2f} mm)")
        row.operator("flatwright.accept_suggestion", text="", icon="CHECKMARK").index = index
