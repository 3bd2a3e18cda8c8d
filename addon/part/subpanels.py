"""Below the Part panel: test pieces to learn kerf and fits by, and the library of stocks."""

from typing import Any

import bpy

from ...geometry.errors import PartError
from ...geometry.part import iso_fit
from ..blender.units import show_length
from ..locale.words import translated
from ..panels import ListRow, StagePanel
from .properties import active_stock
from .stock_library import library
from .test_pieces import trials

__all__ = [
    "FLATWRIGHT_PT_fit_series",
    "FLATWRIGHT_PT_iso_fit",
    "FLATWRIGHT_PT_kerf_test",
    "FLATWRIGHT_PT_library",
    "FLATWRIGHT_PT_test_pieces",
    "FLATWRIGHT_UL_library",
]


class _Below(StagePanel):
    bl_parent_id = "FLATWRIGHT_PT_part"
    bl_options = {"DEFAULT_CLOSED"}

    def column(self) -> bpy.types.UILayout:
        """A column of settings, names to the left."""
        column = self.layout.column()
        column.use_property_split = True
        column.use_property_decorate = False
        return column


class FLATWRIGHT_PT_test_pieces(_Below, bpy.types.Panel):
    """Holds what is cut to learn from, in one line of the Part panel."""

    bl_idname = "FLATWRIGHT_PT_test_pieces"
    bl_label = "Test Pieces"

    def draw(self, context: bpy.types.Context) -> None:
        self.sentence("Cut these once for each sheet and machine: they tell its kerf and fits.")


class FLATWRIGHT_PT_fit_series(_Below, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_fit_series"
    bl_label = "Fit Series"
    bl_parent_id = "FLATWRIGHT_PT_test_pieces"

    def draw(self, context: bpy.types.Context) -> None:
        settings = context.scene.flatwright_fit_series
        column = self.column()
        column.prop(settings, "feature")
        column.prop(settings, "pieces")
        if settings.pieces == "part" or settings.feature == "ring bore":
            column.prop(settings, "second")
        if settings.pieces == "part":
            column.prop(settings, "at_cursor")
        elif settings.second == "ring outside" and settings.feature == "ring bore":
            column.prop(settings, "outside")
        column.prop(settings, "nominal")
        self.layout.operator("flatwright.read_feature", icon="EYEDROPPER")
        column = self.column()
        column.prop(settings, "caliper")
        self.layout.operator("flatwright.propose_series", icon="DRIVER_DISTANCE")
        column = self.column()
        column.prop(settings, "first")
        column.prop(settings, "last")
        column.prop(settings, "step")
        column.prop(settings, "unit")
        row = self.layout.row(align=True)
        row.operator("flatwright.make_fit_series", icon="MOD_ARRAY")
        row.operator("flatwright.remove_fit_series", text="", icon="X")
        if trials(context):
            self.draw_learning(context)

    def draw_learning(self, context: bpy.types.Context) -> None:
        """After the cut: which piece fitted, and how."""
        settings, thing = context.scene.flatwright_fit_series, context.object
        self.sentence("After the cut, select the piece that fitted.")
        if thing is not None and thing.flatwright_part.trial:
            told = thing.flatwright_part
            self.figures((told.trial.title(), show_length(told.trial_mm, context.scene)))
        column = self.column()
        column.prop(settings, "fit")
        column.prop(settings, "mating")
        self.layout.operator("flatwright.this_one_fitted", icon="CHECKMARK")


class FLATWRIGHT_PT_iso_fit(_Below, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_iso_fit"
    bl_label = "ISO 286"
    bl_parent_id = "FLATWRIGHT_PT_fit_series"

    def draw(self, context: bpy.types.Context) -> None:
        settings = context.scene.flatwright_fit_series
        column = self.column()
        column.prop(settings, "nominal")
        column.prop(settings, "iso_hole")
        column.prop(settings, "iso_shaft")
        try:
            found = iso_fit(round(settings.nominal_mm, 5), settings.iso_hole, settings.iso_shaft)
        except PartError as error:
            self.sentence(str(error), icon="ERROR")
            return
        self.sentence(found.sentence)


class FLATWRIGHT_PT_kerf_test(_Below, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_kerf_test"
    bl_label = "Kerf Test"
    bl_parent_id = "FLATWRIGHT_PT_test_pieces"

    def draw(self, context: bpy.types.Context) -> None:
        test, stock = context.scene.flatwright_kerf_test, active_stock(context.scene)
        column = self.column()
        column.prop(test, "strips")
        self.layout.operator("flatwright.save_kerf_test", icon="EXPORT")
        words = translated("Push the strips together: the gap is {} kerfs wide.")
        self.sentence(words.format(test.strips + 1))
        column = self.column()
        column.prop(test, "gap")
        column.prop(test, "reading")
        self.layout.operator("flatwright.keep_kerf", icon="CHECKMARK")
        if stock is not None:
            kerf, doubt = (
                show_length(value, context.scene, digits=6)
                for value in (stock.kerf_mm, stock.kerf_doubt_mm)
            )
            told = f"{kerf.removesuffix(' mm')} ±{doubt}" if stock.kerf_doubt_mm else kerf
            self.figures(("Kerf", told))


class FLATWRIGHT_UL_library(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_library"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        layout.label(text=item.name)


class FLATWRIGHT_PT_library(_Below, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_library"
    bl_label = "Library"
    bl_parent_id = "FLATWRIGHT_PT_stock"

    def draw(self, context: bpy.types.Context) -> None:
        layout, shelf = self.layout, library(context)
        layout.operator("flatwright.save_to_library", icon="IMPORT")
        if shelf is None or not shelf.stocks:
            self.sentence("The library is empty. Press Save to Library.")
            return
        layout.template_list("FLATWRIGHT_UL_library", "", shelf, "stocks", shelf, "index", rows=3)
        if shelf.index < len(shelf.stocks):
            self.sentence(shelf.stocks[shelf.index].told)
        row = layout.row(align=True)
        row.operator("flatwright.add_from_library", icon="ADD").name = ""
        row.operator("flatwright.remove_from_library", text="", icon="TRASH")
