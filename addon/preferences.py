"""The extension's preferences: what new work starts from, and the library of stocks."""

import bpy
from bpy.props import (
    CollectionProperty,
    EnumProperty,
    FloatProperty,
    IntProperty,
    StringProperty,
)

__all__ = ["register", "unregister"]


class FLATWRIGHT_PG_library_stock(bpy.types.PropertyGroup):
    """A stock on the shelf: its name, what it says in short, and all of it as text."""

    name: StringProperty(name="Name")
    told: StringProperty()
    record: StringProperty()


class FLATWRIGHT_AP_preferences(bpy.types.AddonPreferences):
    """Where new work starts from, and stocks that every file can use."""

    # The extension is the package around this one.
    bl_idname = __package__.rpartition(".")[0]

    stocks: CollectionProperty(type=FLATWRIGHT_PG_library_stock)
    index: IntProperty(name="Stock", min=0)
    folder: StringProperty(
        name="Folder for Cut Files",
        description="Where cut files are saved until another folder is chosen",
        subtype="DIR_PATH",
    )
    laser_kerf_mm: FloatProperty(
        name="Laser Kerf (mm)",
        description="Kerf of new stocks for the laser; 0: what is common practice",
        default=0.0,
        min=0.0,
        max=5.0,
    )
    sheet_width_mm: FloatProperty(
        name="Sheet Width (mm)", description="Of new stocks", default=600.0, min=1.0
    )
    sheet_height_mm: FloatProperty(
        name="Sheet Height (mm)", description="Of new stocks", default=400.0, min=1.0
    )
    dxf_unit: EnumProperty(
        name="DXF Unit",
        description="Unit that the dialog of cut files starts with",
        items=(
            ("mm", "Millimetres", "One unit in the DXF is a millimetre"),
            ("in", "Inches", "One unit in the DXF is an inch"),
        ),
    )
    last_saved: StringProperty(options={"HIDDEN"})
    last_read: StringProperty(options={"HIDDEN"})

    def draw(self, context: bpy.types.Context) -> None:
        """List what can be chosen, and the library, which is filled in the Part panel."""
        layout = self.layout
        column = layout.column()
        column.use_property_split, column.use_property_decorate = True, False
        for name in ("folder", "dxf_unit", "laser_kerf_mm", "sheet_width_mm", "sheet_height_mm"):
            column.prop(self, name)
        layout.operator("flatwright.read_manual", icon="HELP")
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
