"""Parts as they were cut, held against what they are now."""

from collections import Counter

import bpy

from ....geometry.errors import FileError
from ....geometry.files import CutState, why_cut_again
from ...blender.curves import curve_of, read_profile
from ...locale.words import translated
from ...part.marks import LINES
from ...part.part_objects import good_side, outline_of, stock_named
from ...state.graph import read_anew
from ...state.stored import digest, outline_mark
from ...state.things import is_linked, part_objects, pieces_of, selected_parts, with_stock

__all__ = [
    "WORDS",
    "all_again",
    "ask_again",
    "keep_saved",
    "leave_out_done",
    "mark_cut",
    "reasons_in_words",
    "to_mark",
]

WORDS = {
    "thickness": "thickness",
    "outline": "outline",
    "slots": "slots",
    "stock": "stock",
    "marks": "marks",
}
"""What the window calls the reasons of the core."""


def _now(context: bpy.types.Context, thing: bpy.types.Object) -> CutState:
    """A part as its file would hold it now."""
    stock = stock_named(context.scene, thing.flatwright_part.stock)
    curve = curve_of(thing)
    marks = digest(curve.get(LINES, ""), good_side(thing) if stock.good_face != "both" else "")
    # What is linked counts as it comes, without an outline here.
    outline = "" if is_linked(thing) else outline_mark(outline_of(thing))
    return CutState(read_profile(curve), stock.name, stock.thickness_mm, outline, marks)


def keep_saved(context: bpy.types.Context, things: list[bpy.types.Object]) -> None:
    """Keep with parts what their files were saved with."""
    for thing in things:
        if thing.library is None:
            thing.flatwright_cut.saved = _now(context, thing).to_record()


def to_mark(context: bpy.types.Context) -> list[bpy.types.Object]:
    """The parts that a selection of sheets, pieces and parts speaks of.

    Of copies, which share one shape, as many as there are pieces; first those of the piece's job
    and not yet marked.
    """
    chosen = list(context.selected_objects)
    pieces = [o for o in chosen if o.flatwright_sheet.role == "PIECE"]
    for sheet in (o for o in chosen if o.flatwright_sheet.role == "SHEET"):
        pieces += [piece for piece in pieces_of(sheet) if piece not in pieces]
    wanted = Counter(piece.flatwright_sheet.label for piece in pieces)
    found = selected_parts(context)
    for label, count in wanted.items():
        one: bpy.types.Object | None = context.scene.objects.get(label)
        if one is None or not one.flatwright_part.is_part:
            continue
        copies = [o for o in _copies_of(context, one) if o not in found]
        found += copies[:count]
    return found


def _copies_of(context: bpy.types.Context, one: bpy.types.Object) -> list[bpy.types.Object]:
    """A part and its copies: those of its job first, then those not yet marked, then itself."""

    def place(thing: bpy.types.Object) -> tuple[bool, bool, bool, str]:
        is_other_job = thing.flatwright_part.job != one.flatwright_part.job
        return is_other_job, thing.flatwright_cut.cut != "", thing != one, thing.name

    return sorted((o for o in part_objects(context) if o.data == one.data), key=place)


def mark_cut(context: bpy.types.Context, things: list[bpy.types.Object]) -> int:
    """Keep parts as cut: as their files were saved last, or as they are now; return how many.

    Raises
    ------
    FlatwrightError
        If there is none, or one cannot be read; nothing is marked then.
    """
    if not things:
        raise FileError("Select the sheet that was cut, or pieces on it, or parts.")
    read_anew(context)
    records = [thing.flatwright_cut.saved or _now(context, thing).to_record() for thing in things]
    for thing, record in zip(things, records, strict=True):
        thing.flatwright_cut.cut = record
    return len(things)


def ask_again(context: bpy.types.Context) -> tuple[int, int]:
    """List what must be cut again, and apart what was saved and not marked; return how many.

    Raises
    ------
    FlatwrightError
        If a part or what is kept of it cannot be read.
    """
    read_anew(context)
    rows: list[tuple[bpy.types.Object, str, str]] = []
    for thing in with_stock(context.scene, part_objects(context)):
        kept = thing.flatwright_cut
        if kept.cut:
            reasons = _why(context, thing)
            if reasons:
                rows.append((thing, "AGAIN", ",".join(reasons)))
        elif kept.saved:
            rows.append((thing, "SAVED", ""))
    settings = context.scene.flatwright_recut
    settings.found.clear()
    settings.index, settings.is_asked = 0, True
    for thing, state, why in sorted(rows, key=lambda row: (row[1], row[0].name)):
        row = settings.found.add()
        row.thing, row.state, row.reasons = thing, state, why
    again = sum(state == "AGAIN" for _, state, _ in rows)
    return again, len(rows) - again


def _why(context: bpy.types.Context, thing: bpy.types.Object) -> tuple[str, ...]:
    cut = CutState.from_record(thing.flatwright_cut.cut)
    return tuple(map(str, why_cut_again(cut, _now(context, thing))))


def reasons_in_words(reasons: str) -> str:
    """Why a part must be cut again, in the interface's language."""
    return ", ".join(translated(WORDS[one]) for one in reasons.split(",") if one in WORDS)


def leave_out_done(context: bpy.types.Context) -> int:
    """Leave out of the layout all but what must be cut again; return how many parts stay in.

    Raises
    ------
    FlatwrightError
        If nothing must be cut again, or a part cannot be read.
    """
    again, _ = ask_again(context)
    if not again:
        raise FileError("Nothing must be cut again. Leave what is laid out as it is.")
    listed = {row.thing for row in context.scene.flatwright_recut.found if row.state == "AGAIN"}
    for thing in part_objects(context):
        if thing.library is None:
            thing.flatwright_cut.is_done = thing not in listed
    return again


def all_again(context: bpy.types.Context) -> None:
    """Let every part be laid out again."""
    for thing in part_objects(context):
        if thing.flatwright_cut.is_done:
            thing.flatwright_cut.is_done = False
