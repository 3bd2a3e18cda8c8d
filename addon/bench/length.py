"""A known length as a reference: its fields and what marks it."""

from typing import Any

import bpy
from bpy.props import BoolProperty, FloatProperty, FloatVectorProperty

from ...geometry.bench import BenchReport
from ...geometry.bench.references import ReferenceSize
from ..blender.units import length_property, to_mm
from ..locale.words import reported
from .entry import Entry, draw_fields, height_property, length
from .marking import Marking

__all__ = ["LENGTH", "FLATWRIGHT_OT_mark_length", "LengthMarks"]

LOCK_ON = "The length lies on a ruler: find its ticks between the marks and measure by all of them"


def _draw(layout: bpy.types.UILayout, owner: Any) -> None:
    draw_fields(layout, owner, "length", "reference_height", "lock_on")


class LengthMarks(Marking):
    """Mixin: two marks on the photo and how far they are apart."""

    reference = "LENGTH"
    wanted = 2
    hint = "Click on both ends of a known length, as far apart as they go"
    unmarked = "No length was marked. Mark both ends of a known length in the photo."
    marks_in = ("a_px", "b_px")
    exact_by = "lock_on"

    a_px: FloatVectorProperty(
        name="First Mark", description="In pixels of the photo", size=2, options={"SKIP_SAVE"}
    )
    b_px: FloatVectorProperty(
        name="Second Mark", description="In pixels of the photo", size=2, options={"SKIP_SAVE"}
    )
    length: length("Length", "True distance between the two marks")
    reference_height: height_property()
    lock_on: BoolProperty(name="Lock On to Ruler", description=LOCK_ON, options={"SKIP_SAVE"})

    def settings(self) -> tuple[str, ...]:
        return ("length", "reference_height", "lock_on")

    def draw(self, context: bpy.types.Context) -> None:
        _draw(self.layout, self)

    def size(self) -> ReferenceSize:
        return ReferenceSize((to_mm(self.length),))

    def found(self, report: BenchReport) -> str:
        return reported(
            "Length taken by {number} ticks: {size} mm in a pixel."
            if report.nodes_used > 2
            else "Length taken: {size} mm in a pixel.",
            number=report.nodes_used,
            size=f"{report.mm_per_px:.3f}",
        )


class FLATWRIGHT_OT_mark_length(LengthMarks, bpy.types.Operator):
    """Mark both ends of a known length in the photo, type it and lay the photo out at scale"""

    bl_idname = "flatwright.mark_length"
    bl_label = "Mark Length"
    bl_options = {"REGISTER", "UNDO"}


class LengthFields:
    """A known length, as every photo's bench has it."""

    length_mm: FloatProperty(default=100.0, min=0.0)
    length: length_property(
        "length_mm",
        name="Length",
        description="True distance between the two marks",
    )
    lock_on: BoolProperty(name="Lock On to Ruler", description=LOCK_ON)


LENGTH = Entry(
    "LENGTH",
    "Length",
    "A ruler or another known length: mark both ends",
    "flatwright.mark_length",
    "DRIVER_DISTANCE",
    _draw,
    (FLATWRIGHT_OT_mark_length,),
    LengthFields,
)
