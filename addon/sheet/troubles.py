"""What is wrong on the sheets as they lie now: pieces on each other, too close, or off the sheet.

Measured sheet by sheet, and only where something changed; a sheet that takes long waits until it
has been left alone for a moment.
"""

import time
from dataclasses import dataclass

import bpy
from mathutils import Vector

from ...geometry.errors import FlatwrightError, SheetError
from ...geometry.sheet import Layout, Sheet, outside_sheet, too_close
from ...geometry.sheet.resume import SLACK_MM
from ..blender.curves import points_of
from ..blender.drawing import redraw
from ..blender.selecting import select_only
from ..blender.units import show_length, show_sides, to_blender
from ..blender.views import look_at
from ..locale.words import reported_of
from ..part.part_objects import stock_named
from ..state.things import pieces_of, sheet_objects
from .laid import placements_on

__all__ = [
    "Trouble",
    "first_trouble",
    "place_of",
    "selected_pieces",
    "show_trouble",
    "toggle_pins",
    "troubles",
]

QUICK_S, QUIET_S = 0.03, 0.3
AROUND_MM = 240.0
"""So much is seen around what is shown."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing wrong: "overlap", "close", "outside" or "lost", at a place on its sheet (mm).

    What ``stops`` cannot be cut so; a gap or a margin that is not kept can.
    """

    state: str
    sheet: str
    pieces: tuple[str, ...]
    at_mm: tuple[float, float]
    label: str
    sentence: str
    stops: bool = True


@dataclass(frozen=True, slots=True)
class _Measured:
    key: int
    found: tuple[Trouble, ...]
    took_s: float


_kept: dict[str, _Measured] = {}
_waiting: dict[str, int] = {}


def troubles(context: bpy.types.Context) -> tuple[Trouble, ...]:
    """Return everything wrong on the scene's sheets, as far as it was measured by now."""
    found: list[Trouble] = []
    for sheet in sheet_objects(context):
        key, kept = _key(context, sheet), _kept.get(sheet.name)
        if kept is None or kept.key != key:
            # Without a window nobody waits, and no timer would come by.
            if kept is not None and kept.took_s > QUICK_S and not bpy.app.background:
                _measure_later(sheet.name, key)
            else:
                kept = _measure(context, sheet, key)
        found += kept.found if kept is not None else ()
    return tuple(found)


def first_trouble(context: bpy.types.Context) -> str:
    """What is wrong on the sheets first, so that they cannot be cut; "" for nothing."""
    wrong = (one.sentence for one in troubles(context) if one.stops)
    return next(wrong, "")


def show_trouble(context: bpy.types.Context, index: int) -> None:
    """Select the pieces something is wrong with and look at the place.

    Raises
    ------
    SheetError
        If there is no such thing.
    """
    found = troubles(context)
    if not 0 <= index < len(found):
        raise SheetError("Nothing of that number is wrong on the sheets any more.")
    trouble = found[index]
    objects = context.view_layer.objects
    things: list[bpy.types.Object | None] = [objects.get(name) for name in trouble.pieces]
    for number, thing in enumerate(thing for thing in things if thing is not None):
        thing.hide_set(False)
        if number == 0:
            select_only(context, thing)
        thing.select_set(True)
    place = place_of(context, trouble)
    context.scene.cursor.location = place
    look_at(context, place[:], AROUND_MM)


def toggle_pins(context: bpy.types.Context) -> str:
    """Pin the selected pieces, and those on selected sheets; free them if all were pinned."""
    pieces = selected_pieces(context)
    pin = not all(thing.flatwright_sheet.pinned for thing in pieces)
    for thing in pieces:
        thing.flatwright_sheet.pinned = pin
    if not pin:
        return reported_of(
            len(pieces), "{number} piece free to move.", "{number} pieces free to move."
        )
    return reported_of(
        len(pieces),
        "{number} piece pinned: laying out and improving leave it where it lies.",
        "{number} pieces pinned: laying out and improving leave them where they lie.",
    )


def selected_pieces(context: bpy.types.Context) -> list[bpy.types.Object]:
    """Selected pieces, and every piece on a selected sheet, each once."""
    found: dict[str, bpy.types.Object] = {}
    for thing in context.selected_objects:
        role = thing.flatwright_sheet.role
        for piece in [thing] if role == "PIECE" else pieces_of(thing) if role == "SHEET" else []:
            found[piece.name] = piece
    return list(found.values())


def place_of(context: bpy.types.Context, trouble: Trouble) -> Vector:
    """Where in the scene it is."""
    x, y = (to_blender(c, context.scene) for c in trouble.at_mm)
    return context.scene.objects[trouble.sheet].matrix_world @ Vector((x, y, 0.0))


def _key(context: bpy.types.Context, sheet: bpy.types.Object) -> int:
    """Everything the measuring depends on, shortened to compare."""
    settings, pieces = context.scene.flatwright_layout, pieces_of(sheet)
    curves = {thing.data.name: thing.data for thing in pieces if thing.data is not None}
    stock = context.scene.flatwright_stocks.get(sheet.flatwright_sheet.stock)
    sides = (stock.sheet_width_mm, stock.sheet_height_mm) if stock is not None else ()
    return hash(
        (
            sides,
            settings.margin_mm,
            settings.gap_mm,
            tuple(tuple(row) for row in sheet.matrix_world),
            tuple((o.name, *(tuple(row) for row in o.matrix_world)) for o in pieces),
            tuple((name, points_of(data).tobytes()) for name, data in curves.items()),
        )
    )


def _measure(context: bpy.types.Context, sheet: bpy.types.Object, key: int) -> _Measured:
    began = time.monotonic()
    try:
        found = _found(context, sheet)
    except FlatwrightError as error:
        found = (
            Trouble("lost", sheet.name, (), (0.0, 0.0), f"Unreadable: {sheet.name}", str(error)),
        )
    measured = _kept[sheet.name] = _Measured(key, found, time.monotonic() - began)
    return measured


def _found(context: bpy.types.Context, sheet: bpy.types.Object) -> tuple[Trouble, ...]:
    things, placements = pieces_of(sheet), placements_on(sheet)
    if not placements:
        return ()
    stock = stock_named(context.scene, sheet.flatwright_sheet.stock)
    settings, found = context.scene.flatwright_layout, []
    gap = show_length(settings.gap_mm, context.scene)
    for pair in too_close(Layout((Sheet(placements, 0.0),), stock), settings.gap_mm - SLACK_MM):
        names = (things[pair.first].name, things[pair.second].name)
        both = " and ".join(placements[i].piece.name for i in (pair.first, pair.second))
        state, said = "close", f"{both} lie closer than the gap of {gap}. Move one of them."
        if pair.area_mm2 > 0.0:
            state, said = "overlap", f"{both} lie on each other. Move one of them off the other."
        label = _label("Overlap" if state == "overlap" else "Too Close", pair.where_mm)
        stops = state == "overlap"
        found.append(Trouble(state, sheet.name, names, pair.where_mm, label, said, stops))
    margin = show_length(settings.margin_mm, context.scene)
    for thing, placement in zip(things, placements, strict=True):
        alone = Layout((Sheet((placement,), 0.0),), stock)
        for place in outside_sheet(alone, settings.margin_mm - SLACK_MM):
            name = placement.piece.name
            said = f"{name} reaches into the margin of {margin}. Move it onto the sheet."
            word, stops = "Margin", False
            if outside_sheet(alone, -SLACK_MM):
                said = f"{name} leaves the sheet. Move it back, or lay out again."
                word, stops = "Outside", True
            label = _label(word, place)
            pieces = (thing.name,)
            found.append(Trouble("outside", sheet.name, pieces, place, label, said, stops))
    return tuple(found)


def _label(word: str, at_mm: tuple[float, float]) -> str:
    """Short enough for a row of the sidebar; names are in the sentence."""
    return f"{word} at {show_sides(at_mm, digits=3, between=', ')}"


def _measure_later(name: str, key: int) -> None:
    """Measure once a sheet has stayed the same for a moment."""
    if _waiting.get(name) == key:
        return
    first = name not in _waiting
    _waiting[name] = key
    if first:
        bpy.app.timers.register(lambda: _look_again(name, key), first_interval=QUIET_S)


def _look_again(name: str, seen: int) -> None:
    key = _waiting.pop(name, seen)
    sheet: bpy.types.Object | None = bpy.context.scene.objects.get(name)
    if sheet is None or sheet.flatwright_sheet.role != "SHEET":
        return
    now = _key(bpy.context, sheet)
    if now != key or key != seen:
        _measure_later(name, now)
    else:
        _measure(bpy.context, sheet, now)
        redraw()
