"""Keep stock; make parts from outlines."""

import bpy
from bpy.props import EnumProperty, StringProperty

from ..blender.units import prefer_millimetres
from ..locale.words import reported_of, translated
from ..outline.properties import active_outline, selected_outlines
from ..state.following import catch_up, paused
from ..state.last_folder import preferences
from ..state.things import selected_parts
from ..state.work import plainly
from .needs import NeedsSelectedParts, NeedsStock
from .part_objects import add_part
from .properties import active_stock

__all__ = [
    "FLATWRIGHT_OT_add_stock",
    "FLATWRIGHT_OT_make_part",
    "FLATWRIGHT_OT_remove_stock",
    "FLATWRIGHT_OT_use_stock",
]

STARTING = {
    "PLYWOOD": ("Plywood 3 mm", 3.0, 0.2, "laser", 0.0),
    "ACRYLIC": ("Acrylic 3 mm", 3.0, 0.2, "laser", 0.0),
    "CARD": ("Card 2 mm", 2.0, 0.1, "laser", 0.0),
    "ROUTED": ("Plywood 6 mm, Routed", 6.0, 3.175, "router", 3.175),
}
"""Name, thickness, kerf, process, cutter: common practice, no source; people measure theirs."""


class FLATWRIGHT_OT_add_stock(bpy.types.Operator):
    """Add a sheet material with numbers of common practice; measure your own sheet and kerf"""

    bl_idname = "flatwright.add_stock"
    bl_label = "Add Stock"
    bl_options = {"REGISTER", "UNDO"}

    kind: EnumProperty(
        name="Start From",
        items=tuple((key, values[0], "") for key, values in STARTING.items()),
    )
    name: StringProperty(name="Name", description="Empty: the material's own name")

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if self.properties.is_property_set("kind"):
            return self.execute(context)
        return set(context.window_manager.invoke_props_dialog(self))

    def execute(self, context: bpy.types.Context) -> set[str]:
        name, thickness, kerf, process, cutter = STARTING[self.kind]
        scene = context.scene
        prefer_millimetres(scene)
        stock = scene.flatwright_stocks.add()
        with paused():
            stock.name = self.name or translated(name)
            stock.thickness_mm, stock.kerf_mm = thickness, kerf
            stock.process, stock.cutter_diameter_mm = process, cutter
            _as_preferred(stock)
        scene.flatwright_stock_index = len(scene.flatwright_stocks) - 1
        return {"FINISHED"}


def _as_preferred(stock: bpy.types.PropertyGroup) -> None:
    """Give a new stock the sheet and the laser's kerf that a person has chosen for all."""
    kept = preferences()
    if kept is None:
        return
    stock.sheet_width_mm, stock.sheet_height_mm = kept.sheet_width_mm, kept.sheet_height_mm
    if stock.process == "laser" and kept.laser_kerf_mm > 0.0:
        stock.kerf_mm = kept.laser_kerf_mm


class FLATWRIGHT_OT_remove_stock(bpy.types.Operator):
    """Remove the chosen stock, unless a part is made of it"""

    bl_idname = "flatwright.remove_stock"
    bl_label = "Remove Stock"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        stock = active_stock(context.scene)
        if stock is None:
            cls.poll_message_set(translated("There is no stock to remove. Press + to add one"))
            return False
        if any(o.flatwright_part.stock == stock.name for o in context.scene.objects):
            cls.poll_message_set(
                translated(
                    "A part is made of this stock. Choose another for it and press Use This Stock "
                    "first"
                )
            )
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        scene = context.scene
        scene.flatwright_stocks.remove(scene.flatwright_stock_index)
        scene.flatwright_stock_index = max(scene.flatwright_stock_index - 1, 0)
        return {"FINISHED"}


class FLATWRIGHT_OT_use_stock(NeedsStock, NeedsSelectedParts, bpy.types.Operator):
    """Make every selected part of the chosen stock"""

    bl_idname = "flatwright.use_stock"
    bl_label = "Use This Stock"
    bl_options = {"REGISTER", "UNDO"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        stock, parts = active_stock(context.scene), selected_parts(context)
        for thing in parts:
            thing.flatwright_part.stock = stock.name
        catch_up()
        self.report(
            {"INFO"},
            reported_of(
                len(parts),
                "{number} part is of {stock}.",
                "{number} parts are of {stock}.",
                stock=stock.name,
            ),
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_make_part(bpy.types.Operator):
    """Give every selected outline the thickness of the chosen stock"""

    bl_idname = "flatwright.make_part"
    bl_label = "Make Part"
    bl_options = {"REGISTER", "UNDO"}

    name: StringProperty(
        name="Name",
        description="Of the first part made; empty takes that of its outline",
        options={"SKIP_SAVE"},
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if active_outline(context) is None:
            cls.poll_message_set(translated("Select an outline, or press Trace Outline"))
            return False
        if active_stock(context.scene) is None:
            cls.poll_message_set(translated("Press + beside the stocks first (Add Stock)"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        outlines = selected_outlines(context) or [active_outline(context)]
        stock = active_stock(context.scene)
        made = [add_part(context, outlines[0], stock, self.name)]
        made.extend(add_part(context, outline, stock) for outline in outlines[1:])
        for thing in made:
            thing.select_set(True)
        catch_up()
        self.name = made[0].name
        told = ", ".join(thing.name for thing in made)
        words = reported_of(len(made), "Made {names}.", "{number} parts made: {names}.", names=told)
        self.report({"INFO"}, words)
        return {"FINISHED"}
