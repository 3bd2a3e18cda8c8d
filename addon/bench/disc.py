"""A disc of known diameter, a coin or a washer, as a reference: its fields and what marks it."""

from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, FloatVectorProperty

from ...geometry.bench import BenchReport
from ...geometry.bench.references import KNOWN_DISCS, ReferenceSize
from ..blender.units import length_property, to_mm
from ..locale.words import reported
from .entry import Entry, draw_fields, height_property, length
from .marking import Marking

__all__ = ["DISC", "FLATWRIGHT_OT_mark_disc"]

DISCS = (
    ("TYPED", "Typed Size", "Type the diameter"),
    *((key, disc.name, f"{disc.diameter_mm:g} × {disc.thickness_mm:g} mm")
      for key, disc in KNOWN_DISCS.items()),
)  # fmt: skip
FIND_EDGE = "Find the disc's round edge near the marks and measure by all of it"


def _draw(layout: bpy.types.UILayout, owner: Any) -> None:
    typed = ("diameter",) if owner.disc == "TYPED" else ()
    draw_fields(layout, owner, "disc", *typed, "reference_height", "find_edge")


class FLATWRIGHT_OT_mark_disc(Marking, bpy.types.Operator):
    """Mark four places of a coin's or washer's edge and lay the photo out at true scale"""

    bl_idname = "flatwright.mark_disc"
    bl_label = "Mark Disc"
    bl_options = {"REGISTER", "UNDO"}
    reference = "DISC"
    wanted = 4
    hint = "Click on four places of the disc's edge, evenly around it"
    unmarked = "No disc was marked. Mark four places of its edge in the photo."
    marks_in = ("rim_px",)
    exact_by = "find_edge"

    rim_px: FloatVectorProperty(
        name="Edge Marks",
        description="Four places of the edge, x and y of each in pixels of the photo",
        size=8,
        options={"SKIP_SAVE"},
    )
    disc: EnumProperty(name="Disc", items=DISCS, options={"SKIP_SAVE"})
    diameter: length("Diameter", "Across the disc")
    reference_height: height_property()
    find_edge: BoolProperty(name="Find Edge", description=FIND_EDGE, options={"SKIP_SAVE"})

    def settings(self) -> tuple[str, ...]:
        return ("disc", "diameter", "reference_height", "find_edge")

    def draw(self, context: bpy.types.Context) -> None:
        _draw(self.layout, self)

    def size(self) -> ReferenceSize:
        known = KNOWN_DISCS.get(self.disc)
        return ReferenceSize((to_mm(self.diameter),)) if known is None else known.size

    def found(self, report: BenchReport) -> str:
        return reported("Disc taken: {size} mm in a pixel.", size=f"{report.mm_per_px:.3f}")


class DiscFields:
    """A disc of known diameter, as every photo's bench has it."""

    disc: EnumProperty(name="Disc", description="What was marked", items=DISCS)
    diameter_mm: FloatProperty(default=20.0, min=0.0)
    diameter: length_property("diameter_mm", name="Diameter", description="Across the disc")
    find_edge: BoolProperty(name="Find Edge", description=FIND_EDGE, default=True)


DISC = Entry(
    "DISC",
    "Disc",
    "A coin or washer: mark four places of its edge",
    "flatwright.mark_disc",
    "MESH_CIRCLE",
    _draw,
    (FLATWRIGHT_OT_mark_disc,),
    DiscFields,
)
