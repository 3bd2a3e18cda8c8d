"""A disc of known diameter, a coin or a washer, as a reference: its fields and what marks it."""

from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, FloatVectorProperty

from ...geometry.bench import BenchReport
from ...geometry.bench.references import KNOWN_DISCS, Marked, mark_sigma_px
from ...geometry.errors import BenchError
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

    def marks(self) -> list[tuple[float, float]]:
        if not self.properties.is_property_set("rim_px"):
            return []
        flat = tuple(self.rim_px)
        return list(zip(flat[0::2], flat[1::2], strict=True))

    def ask(self, marks: list[tuple[float, float]]) -> None:
        flat = [number for mark in marks for number in mark]
        given = {"rim_px": flat, "step_px": self._step_px}
        bpy.ops.flatwright.mark_disc("INVOKE_DEFAULT", True, **given)

    def settings(self) -> tuple[str, ...]:
        return ("disc", "diameter", "reference_height", "find_edge")

    def draw(self, context: bpy.types.Context) -> None:
        _draw(self.layout, self)

    def marked(self, photo: bpy.types.Object) -> Marked:
        """Return the disc as marked and typed; its face lies its thickness above what it lies on.

        Raises
        ------
        BenchError
            If nothing was marked.
        """
        rim = self.marks()
        if not rim:
            raise BenchError("No disc was marked. Mark four places of its edge in the photo.")
        self.take_settings(photo)
        known = KNOWN_DISCS.get(self.disc)
        height_mm = to_mm(self.reference_height)
        if known is None:
            size_mm, size_sigma = to_mm(self.diameter), 0.0
        else:
            size_mm, size_sigma = known.diameter_mm, known.size_sigma
            height_mm += known.thickness_mm
        return Marked(
            "DISC",
            tuple(rim),
            (size_mm,),
            height_mm,
            size_sigma,
            self.find_edge,
            mark_sigma_px(self.step_px),
        )

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
