"""Kept with Blender's preferences for every file: what new work starts from, stocks, machines."""

from typing import Any

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    StringProperty,
)

__all__ = ["register", "unregister"]


class FLATWRIGHT_PG_library_stock(bpy.types.PropertyGroup):
    """A stock on the shelf: its name, what it says in short, and all of it as text."""

    name: StringProperty(name="Name")
    told: StringProperty()
    record: StringProperty()


class FLATWRIGHT_PG_own_bench(bpy.types.PropertyGroup):
    """A printed bench or a mat, and what was measured on it."""

    name: StringProperty(name="Name")
    paper: StringProperty()
    along_mm: FloatProperty()
    up_mm: FloatProperty()
    columns: IntProperty(default=1)
    rows: IntProperty(default=1)


def _name(label: str, does: str) -> Any:
    return StringProperty(name=label, description=f"What files call the layer of {does}")


def _colour() -> Any:
    return FloatVectorProperty(name="Colour", subtype="COLOR_GAMMA", size=3, min=0.0, max=1.0)


class FLATWRIGHT_PG_machine(bpy.types.PropertyGroup):
    """A machine's own names and colours for what it does."""

    name: StringProperty(name="Name")
    outside_name: _name("Cut Outside", "outside cuts")
    outside_colour: _colour()
    inside_name: _name("Cut Inside", "inside cuts")
    inside_colour: _colour()
    mark_name: _name("Engrave", "engraving")
    mark_colour: _colour()
    score_name: _name("Score", "scoring")
    score_colour: _colour()
    measure_name: _name("Measure", "lines to measure and align by")
    measure_colour: _colour()
    is_measured: BoolProperty()
    stretch_x: FloatProperty()
    stretch_y: FloatProperty()
    shear: FloatProperty()
    stretch_doubt: FloatProperty()
    """How much it stretches x and y and leans x per y, as fractions; ± of the worst of them."""
    kerfs: StringProperty()
    """By a stock's name the kerf it cuts in it and its ±, mm, and the day it was kept, as JSON."""


OPERATIONS = ("outside", "inside", "mark", "score", "measure")


class FLATWRIGHT_UL_machines(bpy.types.UIList):
    bl_idname = "FLATWRIGHT_UL_machines"

    def draw_item(
        self,
        context: bpy.types.Context,
        layout: bpy.types.UILayout,
        data: Any,
        item: Any,
        icon: int,
        active_data: Any,
        active_property: str,
        index: int = 0,
        flag: int = 0,
    ) -> None:
        layout.prop(item, "name", text="", emboss=False)


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
    benches: CollectionProperty(type=FLATWRIGHT_PG_own_bench)
    machines: CollectionProperty(type=FLATWRIGHT_PG_machine)
    machine_index: IntProperty(name="Machine", min=0)

    def draw(self, context: bpy.types.Context) -> None:
        """List what can be chosen, and the library, which is filled in the Part panel."""
        layout = self.layout
        column = layout.column()
        column.use_property_split, column.use_property_decorate = True, False
        for name in ("folder", "dxf_unit", "laser_kerf_mm", "sheet_width_mm", "sheet_height_mm"):
            column.prop(self, name)
        layout.operator("flatwright.read_manual", icon="HELP")
        if not self.stocks:
            layout.label(
                text=("Save a stock to the library at the stage Part, under Sheets and Fits."),
                icon="INFO",
            )
        for stock in self.stocks:
            row = layout.split(factor=0.5)
            row.label(text=stock.name)
            row.label(text=stock.told)
        for bench in self.benches:
            row = layout.row()
            row.label(text=bench.name, icon="GRID", translate=False)
            button = row.operator("flatwright.remove_bench", text="", icon="X", emboss=False)
            button.name = bench.name
        self.draw_machines(layout.box().column())

    def draw_machines(self, layout: bpy.types.UILayout) -> None:
        """List the machines, and what the chosen one calls its layers."""
        layout.label(text="Machines: names and colours of layers in files")
        row = layout.row()
        row.template_list(
            "FLATWRIGHT_UL_machines", "", self, "machines", self, "machine_index", rows=2
        )
        side = row.column(align=True)
        side.operator("flatwright.add_machine", text="", icon="ADD")
        side.operator("flatwright.remove_machine", text="", icon="REMOVE")
        if self.machine_index >= len(self.machines):
            return
        machine = self.machines[self.machine_index]
        for operation in OPERATIONS:
            row = layout.split(factor=0.7)
            row.prop(machine, f"{operation}_name")
            row.prop(machine, f"{operation}_colour", text="")


CLASSES: tuple[type, ...] = (
    FLATWRIGHT_PG_library_stock,
    FLATWRIGHT_PG_machine,
    FLATWRIGHT_PG_own_bench,
    FLATWRIGHT_UL_machines,
    FLATWRIGHT_AP_preferences,
)


def register() -> None:
    """Register the preferences and what they hold."""
    done: list[type] = []
    try:
        for one in CLASSES:
            bpy.utils.register_class(one)
            done.append(one)
    except Exception:
        for one in reversed(done):
            bpy.utils.unregister_class(one)
        raise


def unregister() -> None:
    """Take all back."""
    for one in reversed(CLASSES):
        bpy.utils.unregister_class(one)
