"""Outlines from DXF and SVG files, by File ▸ Import and from the panel."""

from pathlib import Path
from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, StringProperty

from ...geometry.errors import FileError
from ...geometry.files import Imported, outlines_from
from ...geometry.progress import Progress
from ...geometry.sentences import legible
from ..blender.units import given_length, typed_length
from ..locale.words import reported_of, translated
from ..state.work import LongWork, Work
from .outline_objects import add_line, add_outline

__all__ = ["FLATWRIGHT_OT_import_outline", "draw_import_outline"]

UNITS = (
    ("file", "As the File Says", "Millimetres where a DXF says nothing, 96 to the inch in an SVG"),
    ("1.0", "Millimetres", "One unit in the file is a millimetre"),
    ("10.0", "Centimetres", "One unit in the file is a centimetre"),
    ("1000.0", "Metres", "One unit in the file is a metre"),
    ("25.4", "Inches", "One unit in the file is an inch"),
)


class FLATWRIGHT_OT_import_outline(LongWork, bpy.types.Operator):
    """Read every closed shape of a DXF or SVG file as an outline, and say what was left out"""

    bl_idname = "flatwright.import_outline"
    bl_label = "Import Outline"
    bl_options = {"REGISTER", "UNDO"}

    filepath: StringProperty(subtype="FILE_PATH", options={"SKIP_SAVE"})
    filter_glob: StringProperty(default="*.dxf;*.svg", options={"HIDDEN"})
    unit: EnumProperty(name="Unit", items=UNITS)
    join_mm: FloatProperty(default=0.05, min=0.0001, options={"HIDDEN"})
    join: typed_length(
        name="Join Within", description="Open ends at most this far apart are joined"
    )

    with_lines: BoolProperty(
        name="Open Lines",
        description="Read open lines as curves too, to be kept on parts as engraving or score",
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set(translated("Go back to Object Mode first"))
            return False
        return True

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self.filepath:
            return self.start(context)
        return self.ask_for_file(context)

    def draw(self, context: bpy.types.Context) -> None:
        self.layout.use_property_split = True
        self.layout.prop(self, "unit")
        self.layout.prop(self, "join")
        self.layout.prop(self, "with_lines")

    def gather(self, context: bpy.types.Context) -> Work:
        if not self.filepath:
            raise FileError("No file was chosen. Choose a DXF or SVG file.")
        path = Path(bpy.path.abspath(self.filepath))
        unit = None if self.unit == "file" else float(self.unit)
        join_mm, with_lines = given_length(self, "join"), self.with_lines

        def work(progress: Progress) -> Imported:
            return outlines_from(
                path, join_mm=join_mm, mm_per_unit=unit, with_lines=with_lines, progress=progress
            )

        return work

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        stem = legible(Path(self.filepath).stem)
        for layer, profile in result.outlines:
            add_outline(context, legible(f"{stem} {layer}".strip()), profile)
        for layer, chain in result.lines:
            add_line(context, legible(f"{stem} {layer} line".replace("  ", " ")), chain)
        told = " ".join(result.sentences())
        counts = reported_of(
            len(result.outlines), "{number} outline read.", "{number} outlines read."
        )
        if result.lines:
            lines = reported_of(
                len(result.lines), "{number} open line read.", "{number} open lines read."
            )
            counts = f"{counts} {lines}"
        self.report({"WARNING" if told else "INFO"}, f"{counts} {told}".strip())


def draw_import_outline(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    """Entry of the import menu."""
    self.layout.operator("flatwright.import_outline", text="Outline (.dxf, .svg)")
