"""Keep leftover sheets, traced from a photo or left by a layout."""

import bpy
from bpy.props import BoolProperty, StringProperty

from ..locale.words import reported, reported_of, translated
from ..part.needs import NeedsStock
from ..part.properties import active_stock
from ..state.things import sheet_objects
from ..state.work import plainly
from .offcuts import keep_as_sheet, keep_leftovers, to_keep

__all__ = [
    "FLATWRIGHT_OT_keep_as_sheet",
    "FLATWRIGHT_OT_keep_leftovers",
    "FLATWRIGHT_PG_offcut",
]


class FLATWRIGHT_PG_offcut(bpy.types.PropertyGroup):
    """Of an outline that is a leftover sheet: of what stock, and whether it is laid on."""

    stock: StringProperty()
    is_used: BoolProperty(
        name="Fill It", description="Fill this leftover sheet before whole ones", default=True
    )


class FLATWRIGHT_OT_keep_as_sheet(NeedsStock, bpy.types.Operator):
    """Keep selected outlines as leftover sheets of the chosen stock, filled before whole ones"""

    bl_idname = "flatwright.keep_as_sheet"
    bl_label = "Keep as Sheet"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not to_keep(context):
            cls.poll_message_set(translated("Select the traced outline of a leftover sheet"))
            return False
        return bool(super().poll(context))

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        stock = active_stock(context.scene)
        names = keep_as_sheet(context, to_keep(context), stock.name)
        self.report(
            {"INFO"},
            reported(
                "{names}: kept as sheets of {stock}.", names=", ".join(names), stock=stock.name
            ),
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_keep_leftovers(bpy.types.Operator):
    """Keep what the layout leaves of every sheet, each with a name to write on it"""

    bl_idname = "flatwright.keep_leftovers"
    bl_label = "Keep Leftovers"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not sheet_objects(context):
            cls.poll_message_set(translated("Press Lay Out Sheets first"))
            return False
        return True

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        made = keep_leftovers(context)
        self.report(
            {"INFO"},
            reported_of(
                len(made),
                "{number} leftover: {names}. Write the name on it.",
                "{number} leftovers: {names}. Write the names on them.",
                names=", ".join(thing.name for thing in made),
            ),
        )
        return {"FINISHED"}
