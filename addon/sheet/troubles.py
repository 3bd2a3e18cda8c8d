"""What is wrong on the sheets as they lie now: pieces on each other, too close, or off the sheet.

Measured sheet by sheet, and only where something changed; what takes long is measured beside the
window.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import bpy
from mathutils import Vector

from ...geometry.errors import FlatwrightError, SheetError
from ...geometry.sentences import Sentence, sentence_of
from ...geometry.sheet import Layout, Sheet, outside_sheet, too_close
from ...geometry.sheet.resume import SLACK_MM
from ..blender.profiles import is_modified
from ..blender.selecting import select_only
from ..blender.units import blender_per_mm, show_length, show_sides, to_blender
from ..blender.views import look_at
from ..locale.words import reported_of
from ..part.part_objects import stock_named
from ..state.beside import Answer, answer
from ..state.stored import curve_digest, digest, placed_by
from ..state.things import pieces_of, sheet_objects
from .laid import frame_shape, name_of_piece, placements_on

__all__ = [
    "Trouble",
    "first_trouble",
    "place_of",
    "selected_pieces",
    "show_trouble",
    "toggle_pins",
    "troubles",
]

WORDS = {
    "overlap": "Overlap at {place}",
    "close": "Too close at {place}",
    "outside": "Off the sheet at {place}",
    "margin": "In the margin at {place}",
    "lost": "Unreadable: {sheet}",
}
"""Labels of the list's rows."""
TOLD = {
    "not yet": "It is being looked at how the pieces lie.",
    "overlap": "{a} and {b} lie on each other. Move one of them off the other.",
    "close": "{a} and {b} lie closer than the gap of {gap}. Move one of them.",
    "margin": "{name} reaches into the margin of {margin}. Move it onto the sheet.",
    "outside": "{name} leaves the sheet. Move it back, or lay out again.",
}
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
    told: Sentence
    stops: bool = True

    @property
    def sentence(self) -> str:
        """What it is, in English."""
        return str(self.told)


def troubles(context: bpy.types.Context) -> tuple[Trouble, ...]:
    """Return everything wrong on the scene's sheets, as far as it was measured by now."""
    found = (_asked(context, sheet) for sheet in sheet_objects(context))
    return tuple(trouble for one in found if one is not None for trouble in one.value)


def first_trouble(context: bpy.types.Context) -> Sentence | None:
    """What is wrong on the sheets first, so that they cannot be cut; None for nothing."""
    for sheet in sheet_objects(context):
        found = _asked(context, sheet)
        if found is None or not found.is_current:
            return Sentence(TOLD["not yet"])
        for one in found.value:
            if one.stops:
                return one.told
    return None


def _asked(
    context: bpy.types.Context, sheet: bpy.types.Object
) -> Answer[tuple[Trouble, ...]] | None:
    mark = _mark(context, sheet)
    return answer(("troubles", sheet.session_uid), mark, lambda: _measuring(context, sheet))


def show_trouble(context: bpy.types.Context, index: int) -> None:
    """Select the pieces something is wrong with and look at the place.

    Raises
    ------
    SheetError
        If there is no such thing.
    """
    found = troubles(context)
    if not 0 <= index < len(found):
        raise SheetError(
            "Nothing of that number is wrong on the sheets any more. Choose a line of the list."
        )
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


def _mark(context: bpy.types.Context, sheet: bpy.types.Object) -> str:
    """Everything the measuring depends on, shortened to compare."""
    settings = context.scene.flatwright_layout
    stock = context.scene.flatwright_stocks.get(sheet.flatwright_sheet.stock)
    sides = (stock.sheet_width_mm, stock.sheet_height_mm) if stock is not None else ()
    pieces = [
        (o.name, curve_digest(o), is_modified(o), placed_by(o)) for o in (sheet, *pieces_of(sheet))
    ]
    return digest(sides, settings.margin_mm, settings.gap_mm, blender_per_mm(), pieces)


def _measuring(
    context: bpy.types.Context, sheet: bpy.types.Object
) -> Callable[[], tuple[Trouble, ...]]:
    """Read a sheet as it lies; return what measures it, without Blender."""
    things, scene = pieces_of(sheet), context.scene
    names = [Name(thing.name, name_of_piece(thing)) for thing in things]
    settings, sheet_name = scene.flatwright_layout, sheet.name
    try:
        placements = placements_on(sheet)
        stock = stock_named(scene, sheet.flatwright_sheet.stock) if placements else None
        shape = frame_shape(sheet)
    except FlatwrightError as error:
        label = Sentence(WORDS["lost"], {"sheet": sheet_name})
        lost = (Trouble("lost", sheet_name, (), (0.0, 0.0), label, sentence_of(error)),)
        return lambda: lost
    if stock is None:
        return tuple
    shown = _Shown(show_length(settings.gap_mm, scene), show_length(settings.margin_mm, scene))
    ways = (settings.gap_mm - SLACK_MM, settings.margin_mm - SLACK_MM)
    layout = Layout((Sheet(placements, 0.0, shape),), stock)
    return lambda: (
        *_pairs(sheet_name, names, layout, ways[0], shown),
        *_edges(sheet_name, names, layout, ways[1], shown),
    )


@dataclass(frozen=True, slots=True)
class _Shown:
    """Gap and margin as the scene's units write them."""

    gap: str
    margin: str


@dataclass(frozen=True, slots=True)
class Name:
    """A piece's object, and what people call the piece."""

    thing: str
    called: str


def _pairs(
    sheet: str, names: Sequence[Name], layout: Layout, gap_mm: float, shown: _Shown
) -> Iterator[Trouble]:
    """Pieces that lie on each other, or too close."""
    for pair in too_close(layout, gap_mm):
        one, other = names[pair.first], names[pair.second]
        named, pieces = {"a": one.called, "b": other.called}, (one.thing, other.thing)
        if pair.area_mm2 > 0.0:
            said = Sentence(TOLD["overlap"], named)
            label = _label("overlap", pair.where_mm)
            yield Trouble("overlap", sheet, pieces, pair.where_mm, label, said)
        else:
            said = Sentence(TOLD["close"], {**named, "gap": shown.gap})
            label = _label("close", pair.where_mm)
            yield Trouble("close", sheet, pieces, pair.where_mm, label, said, stops=False)


def _edges(
    sheet: str, names: Sequence[Name], layout: Layout, margin_mm: float, shown: _Shown
) -> Iterator[Trouble]:
    """Pieces that reach into the margin, or leave the sheet."""
    for name, placement in zip(names, layout.sheets[0].placements, strict=True):
        alone = Layout((Sheet((placement,), 0.0, layout.sheets[0].shape),), layout.stock)
        leaves = bool(outside_sheet(alone, -SLACK_MM))
        for place in outside_sheet(alone, margin_mm):
            kind = "outside" if leaves else "margin"
            said = Sentence(TOLD[kind], {"name": name.called, "margin": shown.margin})
            label = _label(kind, place)
            yield Trouble("outside", sheet, (name.thing,), place, label, said, leaves)


def _label(kind: str, at_mm: tuple[float, float]) -> Sentence:
    """Short enough for a row of the sidebar; names are in the sentence."""
    return Sentence(WORDS[kind], {"place": show_sides(at_mm, digits=3, between=", ")})
