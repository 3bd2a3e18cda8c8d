"""Part panel."""

from typing import Any

import bpy

from ..blender.curves import curve_of
from ..blender.units import show_length
from ..locale.words import CONTEXT, reported_of, translated
from ..panels import NOTHING, ListRow, StagePanel
from ..state.things import part_objects
from .part_objects import inside_radius
from .properties import MEASURED, active_stock

__all__ = ["FLATWRIGHT_PT_part", "FLATWRIGHT_PT_stock", "FLATWRIGHT_UL_stocks"]


class FLATWRIGHT_UL_stocks(ListRow, bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_stocks"

    def draw_row(
        self, context: bpy.types.Context, layout: bpy.types.UILayout, item: Any, index: int
    ) -> None:
        row = layout.split(factor=0.7)
        thing = context.object
        of_it = thing is not None and thing.flatwright_part.is_part
        of_it = of_it and thing.flatwright_part.stock == item.name
        # The active part is of the stock with its sign.
        icon: Any = "MOD_SOLIDIFY" if of_it else "BLANK1"
        row.prop(item, "name", text="", emboss=False, icon=icon)
        row.label(text=show_length(item.thickness_mm, context.scene))


class FLATWRIGHT_PT_part(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_part"
    bl_label = "Part"
    stage = "part"
    manual = "part"
    result = "parts"

    @classmethod
    def summary(cls, context: bpy.types.Context) -> str:
        parts = part_objects(context)
        return reported_of(len(parts), "{number} part", "{number} parts") if parts else ""

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
        self.draw_stock(stock)
        column = layout.column(align=True)
        column.operator("flatwright.make_part", icon="MOD_SOLIDIFY")
        row = column.row(align=True)
        row.operator("flatwright.use_stock", icon="CON_SAMEVOL")
        row.operator("flatwright.rebuild_parts", text="", icon="FILE_REFRESH")
        column.prop(scene, "flatwright_shows_paths")
        self.draw_found(context, stock)

    def draw_stock(self, stock: Any) -> None:
        """Show what is known of a stock; without one, the same rows greyed."""
        if stock is None:
            column = self.layout.column()
            column.enabled = False
            for label in ("Thickness", "Process", "Kerf", "Cutter Diameter"):
                split = column.split(factor=0.45)
                split.label(text=label, text_ctxt=CONTEXT)
                split.label(text=NOTHING)
            return
        column = self.settings(stock, "thickness", "process", "kerf")
        row = column.row()
        row.enabled = stock.process == "router"
        row.prop(stock, "cutter_diameter")

    def draw_found(self, context: bpy.types.Context, stock: Any) -> None:
        """Write what is known of the active part, in rows that are always there."""
        thing, radius = context.object, ""
        if thing is not None and thing.flatwright_part.is_part:
            radius_mm = inside_radius(curve_of(thing))
            if radius_mm is not None:
                radius = show_length(radius_mm, context.scene)
                radius = radius if radius_mm else translated("sharp corners")
        # Only a round cutter minds how tight a corner is.
        if stock is not None and stock.process == "router":
            self.figures(("Inside Radius", radius))
        self.why_not_current(context)
        if stock is None:
            return
        guessed = [name for key, name, *_ in MEASURED[:2] if key not in stock.measured]
        if guessed:
            named = f" {translated('and')} ".join(map(translated, guessed))
            self.sentence(translated("{}: common practice, measure yours.").format(named))


class FLATWRIGHT_PT_stock(StagePanel, bpy.types.Panel):
    bl_idname = "FLATWRIGHT_PT_stock"
    bl_label = "Sheets and Fits"
    bl_parent_id = "FLATWRIGHT_PT_part"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        stock = active_stock(context.scene)
        if stock is None:
            self.sentence("Press + beside the stocks first.")
            return
        names = ("sheet_width", "sheet_height", "sheets", "grain", "good_face", "kerf_doubt")
        self.settings(stock, *names)
        self.settings(stock, "press", "sliding", "loose")
        guessed = [name for key, name, *_ in MEASURED[2:] if key not in stock.measured]
        if guessed:
            words = translated("{}: common practice; a fit series tells yours.")
            self.sentence(words.format(", ".join(map(translated, guessed))))
