"""Write the cut files of every sheet."""

from pathlib import Path
from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, StringProperty

from ...geometry.errors import FileError
from ..bridge.cutfiles import Formats, saving
from ..bridge.units import length_property
from ..sheet.properties import sheet_objects
from ..work import LongWork, Work

__all__ = ["FLATWRIGHT_OT_save_cut_files"]

VERSIONS = (
    ("R2010", "R2010", "States its unit; read by nearly everything"),
    ("R12", "R12", "For old machines. States no unit, so a 10 mm measuring square is drawn in it"),
)
UNITS = (
    ("mm", "Millimetres", "One unit in the DXF is a millimetre"),
    ("in", "Inches", "One unit in the DXF is an inch"),
)
ENTITIES = (
    ("segments", "Segments", "Lines, arcs and circles, each for itself"),
    ("polylines", "Polylines", "Each shape in one piece; whole circles stay circles"),
)
PAPERS = (("A4", "A4", "210 × 297 mm"), ("Letter", "Letter", "8½ × 11 inches"))
NAMED = 4
"""So many files are named in the report; more are counted."""


class FLATWRIGHT_OT_save_cut_files(LongWork, bpy.types.Operator):
    """Write every sheet's cut files into a folder, all or none; each is read back and measured"""

    bl_idname = "flatwright.save_cut_files"
    bl_label = "Save Cut Files"
    bl_options = {"REGISTER"}

    directory: StringProperty(subtype="DIR_PATH", options={"SKIP_SAVE"})
    filter_folder: BoolProperty(default=True, options={"HIDDEN", "SKIP_SAVE"})
    use_dxf: BoolProperty(name="DXF", default=True)
    dxf_version: EnumProperty(name="Version", items=VERSIONS)
    dxf_unit: EnumProperty(name="Unit", items=UNITS)
    dxf_entities: EnumProperty(name="Shapes As", items=ENTITIES)
    use_svg: BoolProperty(name="SVG", default=True)
    hairline_mm: FloatProperty(default=0.1, min=0.001, max=10.0, options={"HIDDEN"})
    hairline: length_property(
        "hairline_mm",
        name="Line Width",
        description="Many laser programs cut lines only up to a certain width",
    )
    use_template: BoolProperty(
        name="Paper Template",
        description="Each sheet at full size as PDF pages to print, tape together and lay on",
        default=False,
    )
    paper: EnumProperty(name="Paper", items=PAPERS)
    use_cut_list: BoolProperty(
        name="Cut List", description="One page a stock with every piece and sheet", default=True
    )
    overwrite: BoolProperty(
        name="Replace Existing",
        description="Replace files of the same name",
        default=False,
        options={"SKIP_SAVE"},
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not sheet_objects(context):
            cls.poll_message_set("Lay out the sheets first")
            return False
        return True

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self.directory:
            return self.start(context)
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        layout.use_property_split = True
        layout.use_property_decorate = False
        for wanted, settings in (
            ("use_dxf", ("dxf_version", "dxf_unit", "dxf_entities")),
            ("use_svg", ("hairline",)),
            ("use_template", ("paper",)),
            ("use_cut_list", ()),
        ):
            column = layout.column()
            column.prop(self, wanted)
            below = column.column()
            below.active = getattr(self, wanted)
            for name in settings:
                below.prop(self, name)
        layout.separator()
        layout.prop(self, "overwrite")

    def gather(self, context: bpy.types.Context) -> Work:
        if not self.directory:
            raise FileError("No folder was chosen. Choose a folder for the cut files.")
        folder = Path(bpy.path.abspath(self.directory))
        formats = Formats(
            dxf=self.use_dxf,
            svg=self.use_svg,
            template=self.use_template,
            cut_list=self.use_cut_list,
            dxf_version=self.dxf_version,
            dxf_unit=self.dxf_unit,
            dxf_entities=self.dxf_entities,
            # Blender's single precision ends here.
            hairline_mm=round(self.hairline_mm, 5),
            paper=self.paper,
        )
        return saving(context, folder, formats, overwrite=self.overwrite)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        names = ", ".join(path.name for path in result[:NAMED])
        more = f" and {len(result) - NAMED} more" if len(result) > NAMED else ""
        old = self.use_dxf and self.dxf_version == "R12"
        unit = f" R12 states no unit; it is {self.dxf_unit}: measure its square." if old else ""
        self.report({"INFO"}, f"Written, read back and measured: {names}{more}.{unit}")
