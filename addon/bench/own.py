"""Benches of one's own: printed, measured once, and kept in the preferences with their pitch."""

from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, StringProperty

from ...geometry.bench import BENCH_PAPERS, KnownMat
from ...geometry.errors import BenchError
from ...geometry.files import write_bench_pdf
from ..blender.units import to_mm
from ..locale.words import reported
from ..state.last_folder import keep_folder, preferences, start_where_last
from ..state.work import plainly
from .entry import count_property, draw_fields, length

__all__ = [
    "FLATWRIGHT_OT_keep_bench",
    "FLATWRIGHT_OT_print_bench",
    "FLATWRIGHT_OT_remove_bench",
    "draw_making_bench",
    "draw_own_bench",
    "mat_named",
]

PAPERS = tuple((key, printed.name, "") for key, printed in BENCH_PAPERS.items())
MAT = ("MAT", "Bought Mat", "A mat with equal squares, measured over as many of them as possible")


def mat_named(name: str) -> KnownMat | None:
    """The bench of that name kept in the preferences; None for no name.

    Raises
    ------
    BenchError
        If there is none.
    """
    shelf: Any = preferences()
    kept = shelf.benches.get(name) if shelf is not None and name else None
    if name and kept is None:
        raise BenchError(
            "The bench “{name}” is not in the preferences. Keep it again with Keep Bench, or clear "
            "the field.",
            name=name,
        )
    return _measured(kept) if kept is not None else None


def _measured(kept: Any) -> KnownMat:
    paper = "" if kept.paper == "MAT" else kept.paper
    squares = (kept.columns, kept.rows) if kept.paper == "MAT" else None
    return KnownMat.measured(paper, (kept.along_mm, kept.up_mm), squares)


def draw_own_bench(layout: bpy.types.UILayout, bench: Any) -> None:
    """Choose a bench that is kept."""
    shelf: Any = preferences()
    if shelf is None:
        return
    row = layout.row(align=True)
    row.use_property_split, row.use_property_decorate = True, False
    row.prop_search(bench, "mat", shelf, "benches", text="My Bench")


def draw_making_bench(layout: bpy.types.UILayout) -> None:
    """Print a bench, or keep one that was measured."""
    column = layout.column(align=True)
    column.operator("flatwright.print_bench", icon="FILE_BLANK")
    column.operator("flatwright.keep_bench", icon="ADD")


class FLATWRIGHT_OT_print_bench(bpy.types.Operator):
    """Save a PDF of a bench to print: squares, a marked border and two lines to measure"""

    bl_idname = "flatwright.print_bench"
    bl_label = "Print Bench"
    bl_options = {"REGISTER"}

    filepath: StringProperty(subtype="FILE_PATH", options={"SKIP_SAVE"})
    check_existing: BoolProperty(default=True, options={"HIDDEN", "SKIP_SAVE"})
    filter_glob: StringProperty(default="*.pdf", options={"HIDDEN"})
    paper: EnumProperty(
        name="Paper", description="A2 comes as pages of A4 to be glued", items=PAPERS
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        start_where_last(self)
        self.filepath += "bench.pdf"
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        target = bpy.path.ensure_ext(bpy.path.abspath(self.filepath), ".pdf")
        # The file browser has asked before an older file is replaced.
        keep_folder(self)
        write_bench_pdf(target, self.paper, overwrite=True)
        self.report(
            {"INFO"},
            reported(
                "“{name}” saved. Print it at 100 %, measure its two lines, then Keep Bench.",
                name=bpy.path.basename(target),
            ),
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_keep_bench(bpy.types.Operator):
    """Keep a printed bench or a mat in the preferences, with what you measured on it"""

    bl_idname = "flatwright.keep_bench"
    bl_label = "Keep Bench"
    bl_options = {"REGISTER"}

    name: StringProperty(name="Name", default="Bench", options={"SKIP_SAVE"})
    paper: EnumProperty(name="Printed On", items=(*PAPERS, MAT), options={"SKIP_SAVE"})
    along: length("Line Along", "Length of the longer line, by a steel rule")
    up: length("Line Up", "Length of the line square to it; 0 if it was not measured")
    columns: count_property("Columns")
    rows: count_property("Rows")

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        ask: Any = context.window_manager.invoke_props_dialog
        return ask(self)

    def draw(self, context: bpy.types.Context) -> None:
        counted = ("columns", "rows") if self.paper == "MAT" else ()
        draw_fields(self.layout, self, "name", "paper", "along", "up", *counted)

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        shelf: Any = preferences()
        if shelf is None:
            raise BenchError("The add-on has no preferences to keep a bench in. Enable it first.")
        if not self.name:
            raise BenchError("A bench needs a name. Type one.")
        paper = "" if self.paper == "MAT" else self.paper
        squares = (self.columns, self.rows) if self.paper == "MAT" else None
        lengths_mm = (to_mm(self.along), to_mm(self.up))
        KnownMat.measured(paper, lengths_mm, squares)
        kept = shelf.benches.get(self.name) or shelf.benches.add()
        kept.name, kept.paper = self.name, self.paper
        kept.along_mm, kept.up_mm = lengths_mm
        kept.columns, kept.rows = self.columns, self.rows
        self.report({"INFO"}, reported("Bench “{name}” kept in the preferences.", name=self.name))
        return {"FINISHED"}


class FLATWRIGHT_OT_remove_bench(bpy.types.Operator):
    """Take this bench out of the preferences"""

    bl_idname = "flatwright.remove_bench"
    bl_label = "Remove Bench"
    bl_options = {"REGISTER"}

    name: StringProperty(name="Name", options={"SKIP_SAVE"})

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        shelf: Any = preferences()
        index = shelf.benches.find(self.name) if shelf is not None else -1
        if index < 0:
            raise BenchError(
                "There is no bench “{name}” in the preferences. Choose one of the list.",
                name=self.name,
            )
        shelf.benches.remove(index)
        return {"FINISHED"}
