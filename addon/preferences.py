"""The library of stocks, kept with Blender's preferences so that every file can use it."""

import bpy
from bpy.props import CollectionProperty, IntProperty, StringProperty

__all__ = ["register", "unregister"]


class FLATWRIGHT_PG_library_stock(bpy.types.PropertyGroup):
    """A stock on the shelf: its name, what it says in short, and all of it as text."""

    name: StringProperty(name="Name")
    told: StringProperty()
    record: StringProperty()


class FLATWRIGHT_AP_preferences(bpy.types.AddonPreferences):
    """Stocks that every file can use."""

    # The extension is the package around this one.
    bl_idname = __package__.rpartition(".")[0]

    stocks: CollectionProperty(type=FLATWRIGHT_PG_library_stock)
    index: IntProperty(name="Stock", min=0)

    def draw(self, context: bpy.types.Context) -> None:
        """List the library; it is filled and emptied in the sidebar's Part panel."""
        layout = self.layout
        if not self.stocks:
            layout.label(text="Save a stock to the library in the Part panel.", icon="INFO")
        for stock in self.stocks:
            row = layout.split(factor=0.5)
            row.label(text=stock.name)
            row.label(text=stock.told)


def register() -> None:
    """Register the preferences and what they hold."""
    bpy.utils.register_class(FLATWRIGHT_PG_library_stock)
    try:
        bpy.utils.register_class(FLATWRIGHT_AP_preferences)
    except Exception:
        bpy.utils.unregister_class(FLATWRIGHT_PG_library_stock)
        raise


def unregister() -> None:
    """Take both back."""
    bpy.utils.unregister_class(FLATWRIGHT_AP_preferences)
    bpy.utils.unregister_class(FLATWRIGHT_PG_library_stock)
