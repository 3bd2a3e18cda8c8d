"""Part panel."""

from typing import Any

import bpy

from ..blender.curves import curve_of
from ..blender.units import show_length
from ..locale.words import translated
from ..panels import ListRow, StagePanel
from .part_objects import inside_radius
from .properties import MEASURED, active_stock

__all__ = ["FLATWRIGHT_PT_part", "FLATWRIGHT_PT_stock", "FLATWRIGHT_UL_stocks"]


class FLATWRIGHT_UL_stocks(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_stocks"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        row = layout.split(factor=0.7)
        row.prop(item, "name", text="", emboss=False)
        row.label(text=show_length(item.thickness_mm, context.scene))


class FLATWRIGHT_PT_part(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_part"
    bl_label = "Part"
    manual = "5. **Part"
    result = "parts"

    def draw(self, context: bpy.types.Context) -> None:
        layout, scene = self.layout, context.scene
        row = layout.row()
        row.template_list(
            "FLATWRIGHT_UL_stocks",
            "",
            scene,
            "flatwright_stocks",
            scene,
            "flatwright_stock_index",
            rows=2,
        )
        side = row.column(align=True)
        side.operator_menu_enum("flatwright.add_stock", "kind", text="", icon="ADD")
        side.operator("flatwright.remove_stock", text="", icon="REMOVE")
        stock = active_stock(scene)
        if stock is not None:
            self.draw_stock(stock)
        layout.operator("flatwright.make_part", icon="MOD_SOLIDIFY")
        thing = context.object
        if thing is not None and thing.flatwright_part.is_part:
            self.figures(("Stock", thing.flatwright_part.stock))
            radius_mm = inside_radius(curve_of(thing))
            if radius_mm is not None and stock is not None and stock.process == "router":
                text = show_length(radius_mm, scene) if radius_mm else translated("sharp corners")
                self.figures(("Inside Radius", text))
            layout.operator("flatwright.rebuild_parts", icon="FILE_REFRESH")
            layout.prop(scene, "flatwright_shows_paths")

    def draw_stock(self, stock: Any) -> None:
        """Show what is known of a stock, and what of it is mere practice."""
        column = self.layout.column()
        column.use_property_split = True
        column.use_property_decorate = False
        column.prop(stock, "thickness")
        column.prop(stock, "process")
        column.prop(stock, "kerf")
        if stock.process == "router":
            column.prop(stock, "cutter_diameter")
        guessed = [name for key, name, *_ in MEASURED[:2] if key not in stock.measured]
        if guessed:
            named = f" {translated('and')} ".join(map(translated, guessed))
            self.sentence(translated("{}: common practice, measure yours.").format(named))


class FLATWRIGHT_PT_stock(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_stock"
    bl_label = "Sheets and Fits"
    bl_parent_id = "FLATWRIGHT_PT_part"
    bl_options = {"DEFAULT_CLOSED"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return active_stock(context.scene) is not None

    def draw_header(self, context: bpy.types.Context) -> None:
        """No tick: this is no stage of the job."""

    def draw(self, context: bpy.types.Context) -> None:
        stock = active_stock(context.scene)
        column = self.layout.column()
        column.use_property_split = True
        column.use_property_decorate = False
        for name in ("sheet_width", "sheet_height", "sheets", "grain", "good_face", "kerf_doubt"):
            column.prop(stock, name)
        column.separator()
        for name in ("press", "sliding", "loose"):
            column.prop(stock, name)
        guessed = [name for key, name, *_ in MEASURED[2:] if key not in stock.measured]
        if guessed:
            words = translated("{}: common practice; a fit series tells yours.")
            self.sentence(words.format(", ".join(map(translated, guessed))))
