"""Check parts and sheets; write the cut files of every sheet."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, IntProperty, StringProperty

from ...geometry.errors import FileError
from ..blender.units import given_length, typed_length
from ..locale.words import in_words, reported, reported_of, translated
from ..part.needs import NeedsParts
from ..state.graph import made
from ..state.last_folder import preferences
from ..state.things import decide_hidden, parts_to_cut, sheet_objects, undecided, with_stock
from ..state.verdict import Objection
from ..state.work import LongWork, Work, plainly
from .cut_job import Formats, Saved, checking, saving
from .finding_list import show_finding, store_findings
from .machines import as_text, chosen_scale
from .recut import keep_saved

__all__ = [
    "FLATWRIGHT_OT_check_readiness",
    "FLATWRIGHT_OT_decide_hidden",
    "FLATWRIGHT_OT_save_cut_files",
    "FLATWRIGHT_OT_show_finding",
]

VERSIONS = (
    ("R2010", "R2010", "States its unit; read by nearly everything"),
    ("R12", "R12", "For old machines. States no unit, so a square of 10 mm or 1 inch is marked"),
)
UNITS = (
    ("mm", "Millimetres", "One unit in the DXF is a millimetre"),
    ("in", "Inches", "One unit in the DXF is an inch"),
)
ENTITIES = (
    ("segments", "Segments", "Lines, arcs and circles, each for itself"),
    ("polylines", "Polylines", "Each shape in one piece; whole circles stay circles"),
)
PAGES = (
    ("drawing", "What Is Drawn", "The page ends where the pieces end"),
    ("sheet", "Whole Sheet", "The page is the sheet, its origin the sheet's lower left corner"),
)
CHOICES = (
    ("CUT", "Cut Hidden Parts", "They are laid out and cut all the same"),
    ("LEAVE", "Leave Hidden Parts Out", "They are not laid out and not cut while they are hidden"),
)
PAPERS = (("A4", "A4", "210 × 297 mm"), ("Letter", "Letter", "8½ × 11 inches"))


class FLATWRIGHT_OT_check_readiness(NeedsParts, LongWork, bpy.types.Operator):
    """Look for what would go wrong at the machine, in every part and on every sheet"""

    bl_idname = "flatwright.check_readiness"
    bl_label = "Check Before Cutting"
    bl_options = {"REGISTER", "UNDO"}

    def gather(self, context: bpy.types.Context) -> Work:
        return checking(context)

    def finish(self, context: bpy.types.Context, result: Any) -> None:
        store_findings(context, result)
        level = "WARNING" if result else "INFO"
        words = reported("No problems found.")
        if result:
            words = f"{_counted(result)}: {in_words(result[0].finding)}"
        self.report({level}, words)


class FLATWRIGHT_OT_decide_hidden(bpy.types.Operator):
    """Say whether the parts that are hidden now are cut, or left out while they are hidden"""

    bl_idname = "flatwright.decide_hidden"
    bl_label = "Hidden Parts"
    bl_options = {"REGISTER", "UNDO"}

    choice: EnumProperty(name="Hidden Parts", items=CHOICES)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if all(thing.library is not None for thing in undecided(context)):
            cls.poll_message_set(translated("No hidden part waits for a decision"))
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        decide_hidden(context, self.choice)
        return {"FINISHED"}


class FLATWRIGHT_OT_show_finding(bpy.types.Operator):
    """Select what the problem is about, put the 3D cursor on the place and look at it"""

    bl_idname = "flatwright.show_finding"
    bl_label = "Show Cutting Problem"
    bl_options = {"REGISTER", "UNDO"}

    index: IntProperty(name="Problem", min=0)

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        show_finding(context, self.index)
        context.scene.flatwright_readiness.index = self.index
        return {"FINISHED"}


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
    hairline: typed_length(
        name="Line Width",
        description="Many laser programs cut lines only up to a certain width",
    )
    svg_page: EnumProperty(name="Page", items=PAGES)
    use_template: BoolProperty(
        name="Paper Template",
        description="Each sheet at full size as PDF pages to print, tape together and lay on",
        default=False,
    )
    paper: EnumProperty(name="Paper", items=PAPERS)
    use_cut_list: BoolProperty(
        name="Cut List",
        description="One page a stock with every piece and sheet, in English",
        default=True,
    )
    use_drawings: BoolProperty(
        name="Drawings",
        description="One page a part as PDF, with the sizes a caliper can measure; in the cut list "
        "too",
        default=False,
    )
    share_edges: BoolProperty(
        name="Cut Shared Edges Once",
        description="Where straight edges of neighbours lie on each other, cut them for the first "
        "alone; lay such pieces out a kerf apart",
        default=False,
    )
    overwrite: BoolProperty(
        name="Replace Existing",
        description="Replace files of the same name",
        default=False,
        options={"SKIP_SAVE"},
    )
    anyway: BoolProperty(
        name="Save Anyway",
        description="Save even if something was found that stops the job",
        default=False,
        options={"SKIP_SAVE"},
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not sheet_objects(context):
            cls.poll_message_set(translated("Press Lay Out Sheets first"))
            return False
        return True

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        # The dialog shows the usual width until another one is typed.
        given_length(self, "hairline")
        kept = preferences()
        if kept is not None and not self.properties.is_property_set("dxf_unit"):
            self.dxf_unit = kept.dxf_unit
        if self.directory:
            return self.start(context)
        return self.ask_for_file(context)

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        layout.use_property_split = True
        layout.use_property_decorate = False
        for wanted, settings in (
            ("use_dxf", ("dxf_version", "dxf_unit", "dxf_entities")),
            ("use_svg", ("hairline", "svg_page")),
            ("use_template", ("paper",)),
            ("use_cut_list", ()),
            ("use_drawings", ()),
        ):
            column = layout.column()
            column.prop(self, wanted)
            below = column.column()
            below.active = getattr(self, wanted)
            for name in settings:
                below.prop(self, name)
        layout.separator()
        # Their names are long: they get the whole width.
        layout.use_property_split = False
        layout.prop(self, "share_edges")
        layout.prop(self, "overwrite")
        layout.prop(self, "anyway")

    def gather(self, context: bpy.types.Context) -> Work:
        if not self.directory:
            raise FileError("No folder was chosen. Choose a folder for the cut files.")
        folder = Path(bpy.path.abspath(self.directory))
        formats = Formats(
            dxf=self.use_dxf,
            svg=self.use_svg,
            template=self.use_template,
            cut_list=self.use_cut_list,
            drawings=self.use_drawings,
            dxf_version=self.dxf_version,
            dxf_unit=self.dxf_unit,
            dxf_entities=self.dxf_entities,
            hairline_mm=given_length(self, "hairline"),
            paper=self.paper,
            svg_page=self.svg_page,
        )
        return saving(
            context,
            folder,
            formats,
            overwrite=self.overwrite,
            anyway=self.anyway,
            share_edges=self.share_edges,
        )

    def finish(self, context: bpy.types.Context, result: Saved) -> None:
        store_findings(context, result.findings)
        level, text = said_after(self, result)
        keep_saved(context, with_stock(context.scene, parts_to_cut(context)))
        context.scene.flatwright_readiness.saved_machine = as_text(chosen_scale(context))
        context.scene.flatwright_guide.is_saved = True
        made(context, "files")
        self.report({level}, text)


def said_after(settings: FLATWRIGHT_OT_save_cut_files, result: Saved) -> tuple[str, str]:
    """Return level and words of the report after saving.

    Raises
    ------
    FileError
        If nothing was saved.
    """
    remarks, paths = result.findings, result.paths
    if not paths:
        raise FileError(
            reported(
                "Nothing was saved. {counts}, first: {sentence} Press Check Before Cutting: "
                "its list shows them all; Save Anyway saves all the same.",
                counts=_counted(remarks),
                sentence=in_words(remarks[0].finding),
            )
        )
    old = settings.use_dxf and settings.dxf_version == "R12"
    words = [
        reported_of(
            len(paths),
            "{number} file saved in “{folder}”, read back and measured.",
            "{number} files saved in “{folder}”, read back and measured.",
            folder=paths[0].parent.name,
        )
    ]
    if old:
        unit, size = (settings.dxf_unit, "10 mm" if settings.dxf_unit == "mm" else "1 inch")
        words.append(
            reported(
                "This file is in {unit}; the square marked in it must measure {size}.",
                unit=unit,
                size=size,
            )
        )
    if remarks:
        words.append(reported("{counts}, listed under Files.", counts=_counted(remarks)))
    return ("WARNING" if remarks else "INFO", " ".join(words))


def _counted(remarks: Sequence[Objection]) -> str:
    """Say how many there are, such as "1 stop, 2 cautions"."""
    stops = sum(remark.severity == "stop" for remark in remarks)
    cautions = len(remarks) - stops
    counts = (
        reported_of(stops, "{number} stop", "{number} stops") if stops else "",
        reported_of(cautions, "{number} caution", "{number} cautions") if cautions else "",
    )
    return ", ".join(filter(None, counts))
