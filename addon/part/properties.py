"""Stock people have on the shelf, and what a part is made of."""

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, PointerProperty, StringProperty

from ..bridge.units import length_property

__all__ = ["PROCESSES", "FLATWRIGHT_PG_part", "FLATWRIGHT_PG_stock", "active_stock"]

PROCESSES = (
    ("laser", "Laser", "Burns a narrow kerf; inside corners stay sharp"),
    ("router", "Router", "Round cutter; inside corners need relief"),
    ("knife", "Knife", "Removes next to nothing"),
)


class FLATWRIGHT_PG_stock(bpy.types.PropertyGroup):
    """A sheet material with what was measured of it."""

    name: StringProperty(name="Name", default="Plywood 3 mm")
    thickness_mm: FloatProperty(default=3.0, min=0.01)
    kerf_mm: FloatProperty(default=0.2, min=0.0)
    cutter_diameter_mm: FloatProperty(default=0.0, min=0.0)
    sheet_width_mm: FloatProperty(default=600.0, min=1.0)
    sheet_height_mm: FloatProperty(default=400.0, min=1.0)
    thickness: length_property(
        "thickness_mm",
        name="Thickness",
        description="What a caliper says, not the name on the label",
    )
    kerf: length_property(
        "kerf_mm", name="Kerf", description="Full width of material the tool removes"
    )
    cutter_diameter: length_property(
        "cutter_diameter_mm", name="Cutter Diameter", description="Diameter of the router's cutter"
    )
    sheet_width: length_property("sheet_width_mm", name="Sheet Width")
    sheet_height: length_property("sheet_height_mm", name="Sheet Height")
    process: EnumProperty(name="Process", items=PROCESSES)


class FLATWRIGHT_PG_part(bpy.types.PropertyGroup):
    """The outline and the stock a part is built from."""

    is_part: BoolProperty()
    outline: PointerProperty(type=bpy.types.Object)
    stock: StringProperty(name="Stock")


def active_stock(scene: bpy.types.Scene) -> FLATWRIGHT_PG_stock | None:
    """The stock chosen in the list."""
    stocks = scene.flatwright_stocks
    index = scene.flatwright_stock_index
    return stocks[index] if 0 <= index < len(stocks) else None
