"""Stock people have on the shelf, and what a part is made of."""

from collections.abc import Callable
from typing import Any

import bpy
from bpy.props import (
    BoolProperty,
    EnumProperty,
    FloatProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

from ..blender.units import length_property
from ..state.following import catch_up, is_paused

__all__ = [
    "FACES",
    "GRAINS",
    "MEASURED",
    "PROCESSES",
    "RATES",
    "FLATWRIGHT_PG_part",
    "FLATWRIGHT_PG_stock",
    "active_stock",
    "stock_of",
]

PROCESSES = (
    ("laser", "Laser", "Burns a narrow kerf; inside corners stay sharp"),
    ("router", "Router", "Round cutter; inside corners need relief"),
    ("knife", "Knife", "Kerf almost zero"),
)


GRAINS = (
    ("none", "None", "Pieces may be turned freely"),
    ("width", "Along Width", "The grain runs along the sheet's width"),
    ("height", "Along Height", "The grain runs along the sheet's height"),
)

FACES = (
    ("both", "Both Alike", "Either face may be seen"),
    ("up", "Good Face Up", "Only one face is good, and it lies up on the machine"),
    ("down", "Good Face Down", "Only one face is good, and it lies down on the machine"),
)
SIDES = (
    ("upper", "Upper", "The face the part's own Z axis points out of comes out good"),
    ("lower", "Lower", "The other face comes out good: the part is cut turned over"),
)

MEASURED = (
    ("thickness", "Thickness", "", 1),
    ("kerf", "Kerf", "", 2),
    ("press", "Press", "", 4),
    ("sliding", "Sliding", "", 8),
    ("loose", "Loose", "", 16),
)
"""What a person measured or typed; the rest is common practice."""


def _measured(what: str) -> Callable[[bpy.types.PropertyGroup, bpy.types.Context], None]:
    """Return what happens after a number changed: it is noted, and parts are cut anew."""

    def changed(stock: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
        if not is_paused():
            stock.measured = stock.measured | {what}
            # The kerf moves the tool's path, not the part.
            if what != "kerf":
                catch_up()

    return changed


def _rate(name: str, description: str) -> Any:
    """A rate somebody measured; 0 says that nobody has."""
    return FloatProperty(name=name, description=description, default=0.0, min=0.0, precision=1)


RATES = ("cut_mm_s", "score_mm_s", "mark_mm_s", "travel_mm_s", "start_s")


def _renamed(stock: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
    """Keep names single, and everything that speaks of a stock with it."""
    scene = stock.id_data
    others = [s.name for s in scene.flatwright_stocks if s != stock]
    free, number = stock.name or "Stock", 2
    while free in others:
        free, number = f"{stock.name or 'Stock'} ({number})", number + 1
    before, stock.known_name = stock.known_name, free
    if free != stock.name:
        stock.name = free
    if not before or before == free or before in others:
        return
    for thing in scene.objects:
        if thing.library is not None:
            # What is written to it here is not saved: it asks for the stock its own file names.
            continue
        for told in (thing.flatwright_part, thing.flatwright_sheet):
            if told.stock == before:
                told.stock = free


class FLATWRIGHT_PG_stock(bpy.types.PropertyGroup):
    """A sheet material with what was measured of it."""

    name: StringProperty(name="Name", default="Plywood 3 mm", update=_renamed)
    known_name: StringProperty(options={"HIDDEN"})
    measured: EnumProperty(items=MEASURED, options={"ENUM_FLAG"})
    thickness_mm: FloatProperty(default=3.0, min=0.01, update=_measured("thickness"))
    kerf_mm: FloatProperty(default=0.2, min=0.0, update=_measured("kerf"))
    kerf_doubt_mm: FloatProperty(default=0.0, min=0.0)
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
    kerf_doubt: length_property(
        "kerf_doubt_mm",
        name="Kerf ±",
        description="How far off the kerf may be, either way; the strip test tells. 0: not known",
    )
    sheets: IntProperty(
        name="Sheets", description="How many there are; 0: always enough", min=0, max=10_000
    )
    grain: EnumProperty(
        name="Grain", description="Side of the sheet that its grain runs along", items=GRAINS
    )
    good_face: EnumProperty(
        name="Faces", description="Whether one face of the sheet is better", items=FACES
    )
    press_mm: FloatProperty(default=0.0, min=-2.0, max=5.0, update=_measured("press"))
    sliding_mm: FloatProperty(default=0.1, min=-2.0, max=5.0, update=_measured("sliding"))
    loose_mm: FloatProperty(default=0.3, min=-2.0, max=5.0, update=_measured("loose"))
    press: length_property(
        "press_mm",
        name="Press",
        description="Slot width less sheet thickness to be held by friction; negative is tighter",
    )
    sliding: length_property(
        "sliding_mm",
        name="Sliding",
        description="Slot width less sheet thickness to go together by hand; negative is tighter",
    )
    loose: length_property(
        "loose_mm",
        name="Loose",
        description="Slot width less sheet thickness to drop in with visible play",
    )
    process: EnumProperty(name="Process", items=PROCESSES)
    cut_mm_s: _rate("Cut (mm/s)", "Feed rate that you measured while it cuts through")
    score_mm_s: _rate("Score (mm/s)", "Feed rate that you measured while it scores")
    mark_mm_s: _rate("Engrave (mm/s)", "Feed rate that you measured while it engraves")
    travel_mm_s: _rate("Travel (mm/s)", "Speed that you measured from cut to cut")
    start_s: _rate("Start (s)", "What a cut takes before it moves")


class FLATWRIGHT_PG_part(bpy.types.PropertyGroup):
    """The outline and the stock a part is built from."""

    is_part: BoolProperty()
    outline: PointerProperty(type=bpy.types.Object)
    stock: StringProperty(name="Stock")
    good_side: EnumProperty(
        name="Good Face", description="Which face of the part comes out good", items=SIDES
    )
    when_hidden: EnumProperty(
        name="When Hidden",
        description="Whether the part is cut while it is hidden",
        items=(
            ("ASK", "Not Decided", "Nothing is cut until it is decided"),
            ("CUT", "Cut", "It is cut all the same"),
            ("LEAVE", "Leave Out", "It is not laid out and not cut while it is hidden"),
        ),
    )
    job: StringProperty()
    """The job it is cut for; "" for the scene's own."""
    is_guest: BoolProperty()
    """It was brought from another file to be cut along, and is no part of what is built here."""
    trial: StringProperty(description="Feature that this piece tries the fit of")
    trial_mm: FloatProperty(description="Size of that feature as drawn")


def active_stock(scene: bpy.types.Scene) -> FLATWRIGHT_PG_stock | None:
    """The stock chosen in the list."""
    stocks = scene.flatwright_stocks
    index = scene.flatwright_stock_index
    return stocks[index] if 0 <= index < len(stocks) else None


def stock_of(scene: bpy.types.Scene, part: bpy.types.Object) -> FLATWRIGHT_PG_stock | None:
    """The stock a part is made of, if the file still has it."""
    return scene.flatwright_stocks.get(part.flatwright_part.stock)
