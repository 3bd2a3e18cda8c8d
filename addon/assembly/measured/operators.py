"""Add an object from what was measured of it, and change what was measured."""

from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, StringProperty

from ....geometry.assembly.measured import CaliperReading, read_table
from ....geometry.errors import FlatwrightError
from ...blender.units import given_length, prefer_millimetres, show_length, typed_length
from ...locale.words import reported, reported_of, translated
from ...state.work import plainly
from .making import (
    add_measured,
    doubt_of_outline,
    make,
    object_name,
    readings_of,
    with_row,
    write_rows,
)

__all__ = [
    "FLATWRIGHT_OT_add_measured",
    "FLATWRIGHT_OT_add_reading",
    "FLATWRIGHT_OT_make_measured",
    "FLATWRIGHT_OT_paste_readings",
    "FLATWRIGHT_OT_pull_outline",
    "FLATWRIGHT_OT_remove_reading",
    "FLATWRIGHT_OT_turn_outline",
    "draw_add_measured",
]

DOUBT = {
    "name": "Usual ±",
    "description": "How far off a number is that has no ± of its own, either way",
}
STEP = {"name": "Step", "description": "From row to row where the rows tell no height"}


def _is_measured(thing: bpy.types.Object | None) -> bool:
    return thing is not None and thing.flatwright_measured.made_from != "NONE"


class _ReadsTable:
    """Mixin: a table from a script's text, else from the clipboard."""

    table: StringProperty(options={"HIDDEN"})
    step_mm: FloatProperty(default=0.0, min=0.0, options={"HIDDEN"})
    step: typed_length(**STEP)
    doubt_mm: FloatProperty(default=0.1, min=0.0, options={"HIDDEN"})
    doubt: typed_length(**DOUBT)

    def readings(self, context: bpy.types.Context) -> tuple[CaliperReading, ...]:
        """The rows of the table, as the core wants them."""
        text = self.table or context.window_manager.clipboard
        imperial = context.scene.unit_settings.system == "IMPERIAL"
        return read_table(
            text,
            step_mm=given_length(self, "step"),
            doubt_mm=given_length(self, "doubt"),
            unit="in" if imperial else "mm",
        )


class FLATWRIGHT_OT_add_measured(_ReadsTable, bpy.types.Operator):
    """Add an object from heights and diameters read with a caliper; its rows can be edited later"""

    bl_idname = "flatwright.add_measured"
    bl_label = "Measured Object"
    bl_options = {"REGISTER", "UNDO"}

    called: StringProperty(name="Name", description="What the object is called")
    from_clipboard: BoolProperty(
        name="Rows on the Clipboard",
        description="Take the table that was copied; off for two rows to begin with",
    )
    section: EnumProperty(
        name="Section",
        items=(
            ("round", "Round", "Rows of height and diameter"),
            ("box", "Rectangular", "Rows of height, width and depth"),
        ),
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        # Before anything is shown: numbers in metres are no caliper's.
        prefer_millimetres(context.scene)
        self.called = translated("Object")
        try:
            self.from_clipboard = bool(self.readings(context))
        except FlatwrightError:
            self.from_clipboard = False
        ask: Any = context.window_manager.invoke_props_dialog
        return set(ask(self))

    def draw(self, context: bpy.types.Context) -> None:
        self.layout.use_property_split = True
        for name in ("called", "from_clipboard", "doubt"):
            self.layout.prop(self, name)
        row = self.layout.row()
        row.enabled = not self.from_clipboard
        row.prop(self, "section")
        row = self.layout.row()
        row.enabled = self.from_clipboard
        row.prop(self, "step")

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        prefer_millimetres(context.scene)
        if self.table or self.from_clipboard:
            readings = self.readings(context)
        else:
            doubt_mm = given_length(self, "doubt")
            depth_mm = 40.0 if self.section == "box" else 0.0
            sizes = (60.0, depth_mm, doubt_mm, doubt_mm, doubt_mm if depth_mm else 0.0)
            readings = (CaliperReading(0.0, *sizes), CaliperReading(100.0, *sizes))
        name = self.called or translated("Object")
        place = context.scene.cursor.location
        thing = add_measured(context, name, place, readings=readings)
        self.report(
            {"INFO"},
            reported_of(
                len(readings),
                "“{name}” is made of {number} row.",
                "“{name}” is made of {number} rows.",
                name=thing.name,
            ),
        )
        return {"FINISHED"}


class _OnMeasured:
    """Mixin: works on the active measured object."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        this: Any = cls
        if not _is_measured(context.object):
            this.poll_message_set(translated("Select a measured object"))
            return False
        return True


class FLATWRIGHT_OT_paste_readings(_OnMeasured, _ReadsTable, bpy.types.Operator):
    """Take the table on the clipboard in place of the object's rows"""

    bl_idname = "flatwright.paste_readings"
    bl_label = "Paste Rows"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        readings = self.readings(context)
        write_rows(context.object, readings)
        self.report(
            {"INFO"}, reported_of(len(readings), "{number} row read.", "{number} rows read.")
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_add_reading(_OnMeasured, bpy.types.Operator):
    """Add a row after the chosen one, halfway to the next"""

    bl_idname = "flatwright.add_reading"
    bl_label = "Add Row"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        thing = context.object
        write_rows(thing, with_row(readings_of(thing), thing.flatwright_measured.row_index))
        return {"FINISHED"}


class FLATWRIGHT_OT_remove_reading(_OnMeasured, bpy.types.Operator):
    """Take the chosen row away"""

    bl_idname = "flatwright.remove_reading"
    bl_label = "Remove Row"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        thing = context.object
        at, rows = thing.flatwright_measured.row_index, list(readings_of(thing))
        write_rows(thing, (*rows[:at], *rows[at + 1 :]))
        return {"FINISHED"}


class FLATWRIGHT_OT_make_measured(_OnMeasured, bpy.types.Operator):
    """Make the object again from its rows or its outline as they are now"""

    bl_idname = "flatwright.make_measured"
    bl_label = "Make Again"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        make(context.object)
        return {"FINISHED"}


class _FromOutline:
    """Mixin: makes an object of the selected outline."""

    made_from = ""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        this: Any = cls
        thing = context.object
        if thing is None or not thing.flatwright_outline.is_outline:
            this.poll_message_set(translated("Select an outline, or press Trace Outline"))
            return False
        return True

    def add(self, context: bpy.types.Context, **kept: Any) -> bpy.types.Object:
        """Add the object, named after the outline, with the ± of the photo it was traced from."""
        outline = context.object
        return add_measured(
            context,
            object_name(outline),
            context.scene.cursor.location,
            made_from=self.made_from,
            outline=outline,
            doubt_mm=doubt_of_outline(outline),
            **kept,
        )


class FLATWRIGHT_OT_turn_outline(_FromOutline, bpy.types.Operator):
    """Turn half of the outline into an object, about its axis or else its longest straight edge"""

    bl_idname = "flatwright.turn_outline"
    bl_label = "Turn Outline"
    bl_options = {"REGISTER", "UNDO"}
    made_from = "TURNED"

    side: EnumProperty(
        name="Side of Axis",
        description="Which side of the outline's axis is turned",
        items=(("left", "Left of Axis", ""), ("right", "Right of Axis", "")),
        default="right",
    )

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        thing = self.add(context, side=self.side)
        self.report({"INFO"}, reported("“{name}” is in true size.", name=thing.name))
        return {"FINISHED"}


class FLATWRIGHT_OT_pull_outline(_FromOutline, bpy.types.Operator):
    """Pull the outline to a height, holes and all, into an object"""

    bl_idname = "flatwright.pull_outline"
    bl_label = "Pull Outline"
    bl_options = {"REGISTER", "UNDO"}
    made_from = "PULLED"

    height_mm: FloatProperty(default=50.0, min=0.0, options={"HIDDEN"})
    height: typed_length(name="Height")

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        height_mm = given_length(self, "height")
        thing = self.add(context, height_mm=height_mm)
        told = reported(
            "“{name}” is {height} high.", name=thing.name, height=show_length(height_mm)
        )
        self.report({"INFO"}, told)
        return {"FINISHED"}


def draw_add_measured(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    """Entry of Add ▸ Flatwright."""
    self.layout.operator("flatwright.add_measured")
