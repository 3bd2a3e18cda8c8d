"""Stocks to and from the library."""

import bpy
from bpy.props import StringProperty

from ..blender.units import prefer_millimetres
from ..locale.words import reported, translated
from ..state.work import plainly
from .needs import NeedsStock
from .properties import active_stock
from .stock_library import add_from_library, library, remove_from_library, save_to_library

__all__ = [
    "FLATWRIGHT_OT_add_from_library",
    "FLATWRIGHT_OT_remove_from_library",
    "FLATWRIGHT_OT_save_to_library",
    "library_choice",
]


def library_choice(context: bpy.types.Context) -> str:
    """Name of the stock chosen in the library; empty for none."""
    shelf = library(context)
    if shelf is None or not 0 <= shelf.index < len(shelf.stocks):
        return ""
    return str(shelf.stocks[shelf.index].name)


class FLATWRIGHT_OT_save_to_library(NeedsStock, bpy.types.Operator):
    """Keep the chosen stock in the library, for every other file; one of its name is replaced"""

    bl_idname = "flatwright.save_to_library"
    bl_label = "Save to Library"
    bl_options = {"REGISTER"}

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        stock = active_stock(context.scene)
        was = save_to_library(context, stock)
        self.report(
            {"INFO"},
            reported(
                "“{name}” replaced in the library." if was else "“{name}” saved in the library.",
                name=stock.name,
            ),
        )
        return {"FINISHED"}


class FLATWRIGHT_OT_add_from_library(bpy.types.Operator):
    """Add the stock chosen in the library to this file"""

    bl_idname = "flatwright.add_from_library"
    bl_label = "Add to File"
    bl_options = {"REGISTER", "UNDO"}

    name: StringProperty(name="Name", description="Empty: the one chosen in the list")

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return _chosen(cls, context)

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        prefer_millimetres(context.scene)
        self.name = self.name or library_choice(context)
        stock = add_from_library(context, self.name)
        self.report({"INFO"}, reported("“{name}” added.", name=stock.name))
        return {"FINISHED"}


class FLATWRIGHT_OT_remove_from_library(bpy.types.Operator):
    """Take the chosen stock off the library; files that have it keep it"""

    bl_idname = "flatwright.remove_from_library"
    bl_label = "Remove from Library"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return _chosen(cls, context)

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        remove_from_library(context, library_choice(context))
        return {"FINISHED"}


def _chosen(cls: type[bpy.types.Operator], context: bpy.types.Context) -> bool:
    if not library_choice(context):
        cls.poll_message_set(translated("Press Save to Library first: the library is empty"))
        return False
    return True
