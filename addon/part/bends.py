"""Bend a part between two lines: slits cut where it is to give."""

from typing import Any

import bpy
from bpy.props import FloatProperty

from ...geometry.part import Bend, BendRule, Mark, Strip, bend_strip
from ..blender.curves import curve_of, read_profile
from ..blender.units import given_length, radians_of, show_length, typed_length
from ..locale.words import reported, translated
from ..state.work import plainly
from .bend_record import keep_strips, kept_strips
from .keeping import add_lines, hide_lines, lines_among, part_among, straight_on
from .part_objects import stock_named

__all__ = ["FLATWRIGHT_OT_bend_between"]


def _bent(context: bpy.types.Context, rule: BendRule) -> Bend:
    """Keep the slits of a bend on the part; return what was cut.

    Raises
    ------
    FlatwrightError
        If the two lines bound no strip of the part, or the strip cannot bend.
    """
    part, lines = part_among(context), lines_among(context)
    stock = stock_named(context.scene, part.flatwright_part.stock)
    first, last = (straight_on(part, line) for line in lines)
    profile = read_profile(curve_of(part))
    bend = bend_strip(profile, first, last, stock.thickness_mm, stock.kerf_mm, rule)
    add_lines(part, [Mark(slit, "cut") for slit in bend.slits])
    curve = curve_of(part)
    keep_strips(curve, (*kept_strips(curve), Strip(first, last, rule, len(bend.slits))))
    hide_lines(lines)
    return bend


class FLATWRIGHT_OT_bend_between(bpy.types.Operator):
    """Cut rows of slits between two straight lines, so that the sheet bends there"""

    bl_idname = "flatwright.bend_between"
    bl_label = "Bend Between Lines"
    bl_options = {"REGISTER", "UNDO"}

    angle: FloatProperty(
        name="Angle",
        description="How far it bends from the first line to the other",
        default=radians_of(90.0),
        min=radians_of(1.0),
        max=radians_of(360.0),
        subtype="ANGLE",
    )
    bridge_mm: FloatProperty(default=0.0, min=0.0, options={"HIDDEN"})
    bridge: typed_length(name="Bridges", description="Left between slits; 0: the sheet's thickness")
    spacing_mm: FloatProperty(default=0.0, min=0.0, options={"HIDDEN"})
    spacing: typed_length(
        name="Row Spacing", description="From row to row; 0: half a thickness and a kerf"
    )
    strain: FloatProperty(
        name="Strain",
        description="Shear the material bears when its bars twist; try a strip of yours",
        default=0.02,
        min=0.001,
        max=0.5,
        precision=3,
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set(translated("Go back to Object Mode first"))
            return False
        if part_among(context) is None or len(lines_among(context)) != 2:
            cls.poll_message_set(translated("Select two straight lines, then the part to bend"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        bridge, spacing = given_length(self, "bridge"), given_length(self, "spacing")
        bend: Any = _bent(context, BendRule(self.angle, bridge, spacing, self.strain))
        values = {
            "rows": bend.rows,
            "radius": show_length(bend.radius_mm, context.scene),
            "least": show_length(bend.least_radius_mm, context.scene),
        }
        if bend.is_too_tight:
            told = reported(
                "{rows} rows bend to a radius of {radius}, and {least} is the least that kerf and "
                "strain allow. Draw the lines further apart, or bend less.",
                **values,
            )
            self.report({"WARNING"}, told)
        else:
            told = reported("{rows} rows, bending to {radius}; the least is {least}.", **values)
            self.report({"INFO"}, told)
        return {"FINISHED"}
