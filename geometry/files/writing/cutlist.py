"""A cut list: one page with every sheet drawn, every piece's size and count, and what to mind."""

from __future__ import annotations

import math
import os
import xml.etree.ElementTree as ElementTree
from collections.abc import Collection, Mapping, Sequence
from itertools import accumulate
from pathlib import Path

from ...errors import FileError
from ...part.stock import Stock
from ...sheet.placement import Piece
from ..drawing import Drawing, KerfState
from ..duration import FeedRates
from ..layers import STANDARD, STANDING, Layers, Operation
from ..reading import Verification
from .atomic import check_target, write_whole
from .cautions import cautions
from .cut_notes import CutNotes, JointNote
from .job_table import job_table
from .page_text import clean
from .part_drawings import drawn_pieces
from .piece_table import HAIRLINE_MM, piece_table
from .stock_table import stock_table
from .svg import svg_text
from .time_table import time_table

__all__ = ["write_cut_list"]

SHAPES: dict[Operation, str] = {
    "outside": "piece",
    "inside": "hole",
    "mark": "mark",
    "score": "score",
    "measure": "line to align by",
}
PLURALS = {"line to align by": "lines to align by"}

STYLE = """
@page { size: auto; margin: 12mm; }
body { font: 13px/1.35 sans-serif; margin: 1em auto; max-width: 62em; padding: 0 1em; }
h1 { font-size: 1.6em; margin: 0 0 .4em; }
h2 { font-size: 1.1em; margin: .8em 0 .2em; }
table { border-collapse: collapse; }
th, td { border-bottom: 1px solid #bbb; padding: .15em .7em; text-align: right; }
th:first-child, td:first-child, .left td, .facts td { text-align: left; }
#pieces th:nth-child(2), #pieces td:nth-child(2) { text-align: center; }
.facts { display: flex; flex-wrap: wrap; gap: 0 3em; }
svg { overflow: visible; }
svg path, svg circle { vector-effect: non-scaling-stroke; stroke-width: 1px; }
td svg { width: 5em; height: 3.4em; }
figure { display: inline-block; margin: .3em 1em .3em 0; vertical-align: top; }
figure svg { width: 29em; height: 16em; padding: 4px; }
svg .sheet { fill: #f6f1e7; stroke: #999; stroke-width: 1px; vector-effect: non-scaling-stroke; }
.mind { border-left: 4px solid #d55e00; padding-left: 1em; font-size: .85em; }
.mind ul { columns: 2; column-gap: 2.5em; margin: 0; padding-left: 1.2em; }
.mind li { break-inside: avoid; }
#measured { font-size: .85em; }
.drawn { break-inside: avoid; margin: .5em 0 1em; }
.drawn svg { width: 100%; height: auto; display: block; border: 1px solid #bbb; }
svg.drawing path { fill: none; stroke: #000; }
svg.drawing path.thin { stroke: #777; stroke-width: .6px; }
svg.drawing text { font-size: 4px; }
.key span { border-bottom: 3px solid; margin-right: 1.5em; }
@media print {
  body { margin: 0; max-width: none; padding: 0; font-size: 10px; }
  figure, tr, .mind { break-inside: avoid; }
}
"""


def write_cut_list(
    path: str | os.PathLike[str],
    *,
    title: str,
    stock: Stock,
    pieces: Sequence[Piece],
    sheets: Sequence[Drawing],
    kerf_state: KerfState,
    notes: CutNotes | None = None,
    rates: FeedRates | None = None,
    guessed: Collection[str] = (),
    measured: Sequence[tuple[str, Verification]] = (),
    overwrite: bool = False,
) -> None:
    """Write one HTML page that needs no other file, whole or not at all.

    Parameters
    ----------
    path
        Ends in .html.
    title, stock
        The heading, and what everything is cut from.
    pieces, sheets
        What to cut and how many, with finished sizes; one drawing per sheet, as it is cut.
    kerf_state
        Whether the drawings allow for the stock's kerf.
    notes
        Joints and jobs of the pieces, what spoke against cutting, and what to mind.
    rates, guessed
        Feed rates that were measured, and what of "thickness" and "kerf" never was.
    measured, overwrite
        Each cut file's name and what it was measured to hold; whether this one may be replaced.

    Raises
    ------
    FileError
        If there are no pieces, a drawing's kerf state differs, or the file cannot be written.
    """
    check_target(path, overwrite, ".html")
    _refuse_contradictions(pieces, sheets, kerf_state)
    notes = notes or CutNotes()
    body = [
        f"<h1>{clean(title)}</h1>",
        *_minded(notes, stock, sheets),
        f'<div class="facts">{stock_table(stock, kerf_state, sheets, guessed)}'
        f"{_joint_table(notes.joints)}</div>",
        job_table(notes.jobs, pieces, title),
        piece_table(pieces, stock),
        time_table(sheets, rates or FeedRates()),
        "<h2>Sheets</h2>",
        *(_figure(number, sheet, stock.sheet_mm) for number, sheet in _numbered(sheets)),
        _key(sheets),
        _measured_table(measured, whole=all(map(_is_whole, sheets))),
        *(drawn_pieces(pieces) if notes.drawings else ()),
    ]
    text, counts = _page(title, body).encode("utf-8"), (len(pieces), len(sheets), notes.drawings)
    write_whole(path, text, lambda file: _check(file, *counts), overwrite=overwrite)


def _minded(notes: CutNotes, stock: Stock, sheets: Sequence[Drawing]) -> list[str]:
    """What was passed over, what to look at first, what is corrected, and cautions."""
    return [
        _told("overridden", "Saved although", notes.overridden),
        _told("doubtful", "Look at this first", notes.cautions),
        _told("corrected", "Corrected for the machine", _machines(sheets)),
        _mind(stock),
    ]


def _machines(sheets: Sequence[Drawing]) -> list[str]:
    """What is done to the paths for the machine, each said once."""
    told = [sheet.machine.sentence for sheet in sheets if sheet.machine is not None]
    return list(dict.fromkeys(told))


def _refuse_contradictions(
    pieces: Sequence[Piece], sheets: Sequence[Drawing], kerf_state: KerfState
) -> None:
    if not pieces:
        raise FileError("A cut list needs at least one piece. Choose the parts to list.")
    for number, sheet in _numbered(sheets):
        if sheet.kerf_state != kerf_state:
            raise FileError(
                "Sheet {number} is drawn with its kerf {kerf_state}, and the list "
                "says {kerf_state_2}. Draw all sheets the same way.",
                number=number,
                kerf_state=sheet.kerf_state,
                kerf_state_2=kerf_state,
            )


def _page(title: str, body: Sequence[str]) -> str:
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head><meta charset="utf-8" />'
        f"<title>{clean(title)}</title><style>{STYLE}</style></head>\n<body>\n"
        + "\n".join(body)
        + "\n</body>\n</html>\n"
    )


def _check(file: Path, rows: int, sheets: int, is_drawn: bool) -> None:
    """Read the page back: it is well formed and everything is on it."""
    try:
        root = ElementTree.parse(file).getroot()
    except ElementTree.ParseError as error:
        raise FileError(
            "The cut list was not written whole ({error}). Save it again.",
            error=error,
        ) from error
    found = len(root.findall(".//table[@id='pieces']/tbody/tr"))
    pictures = root.findall(".//{http://www.w3.org/2000/svg}svg")
    drawn = len(root.findall(".//figure/{http://www.w3.org/2000/svg}svg"))
    if (found, drawn, len(pictures)) != (rows, sheets, rows * (1 + is_drawn) + sheets):
        raise FileError(
            "The cut list reads back with {found} pieces on {drawn} sheets, and "
            "{rows} on {sheets} were meant. Save it again.",
            found=found,
            drawn=drawn,
            rows=rows,
            sheets=sheets,
        )


def _shapes(counts: Mapping[Operation, int], *, whole: bool) -> str:
    """What there is, such as "2 pieces, 1 hole", or "6 outside cuts" of pieces not ``whole``."""
    names: dict[Operation, str] = SHAPES if whole else {**SHAPES, "outside": "outside cut"}
    return ", ".join(
        f"{counts[o]} {thing if counts[o] == 1 else PLURALS.get(thing, thing + 's')}"
        for o, thing in names.items()
        if counts.get(o)
    )


def _mind(stock: Stock) -> str:
    items = "".join(f"<li>{clean(text)}</li>" for text in cautions(stock.process))
    return f'<section class="mind"><h2>Before you cut</h2><ul>{items}</ul></section>'


def _told(name: str, heading: str, sentences: Sequence[str]) -> str:
    if not sentences:
        return ""
    items = "".join(f"<li>{clean(text)}</li>" for text in dict.fromkeys(sentences))
    return f'<section class="mind" id="{name}"><h2>{heading}</h2><ul>{items}</ul></section>'


def _joint_table(joints: Sequence[JointNote]) -> str:
    if not joints:
        return ""
    rows = [(f"{j.count} × {j.kind}", f"{j.fit} fit", j.sizes) for j in joints]
    return f"<div><h2>Joints</h2>{_left_table('joints', rows)}</div>"


def _is_whole(sheet: Drawing) -> bool:
    """Whether every outside cut goes round a whole piece: none is held or begun beside it."""
    return all(shape.closed for shape in sheet.shapes if shape.operation == "outside")


def _measured_table(measured: Sequence[tuple[str, Verification]], *, whole: bool) -> str:
    if not measured:
        return ""
    rows = []
    for name, found in measured:
        width, height = found.size_mm
        # Rounded up: what is said must hold.
        off = math.ceil(found.worst_mm * 1e6) / 1e6
        rows.append(
            (
                name,
                _shapes(found.counts, whole=whole),
                f"{width:.2f} × {height:.2f} mm",
                f"off by at most {off:.6f} mm",
            )
        )
    return f"<h2>Files, read back and measured</h2>{_left_table('measured', rows)}"


def _left_table(name: str, rows: Sequence[Sequence[str]]) -> str:
    lines = "".join(
        "<tr>" + "".join(f"<td>{clean(cell)}</td>" for cell in row) + "</tr>" for row in rows
    )
    return f'<table id="{name}" class="left">{lines}</table>'


def _key(sheets: Sequence[Drawing]) -> str:
    meanings: dict[Operation, str] = {
        "outside": "outside cut",
        "inside": "inside cut, before the outside",
        "mark": "mark, not cut through",
        "score": "score, not cut through",
        "measure": "to align by, not cut",
    }
    layers = sheets[0].layers if sheets else STANDARD
    shown = [o for o in meanings if o in STANDING or any(s.counts.get(o) for s in sheets)]
    spans = "".join(
        f'<span style="border-color: #{bytes(layers.of(o).colour).hex()}">'
        f"{clean(_called(layers, o))}{meanings[o]}</span>"
        for o in shown
    )
    return f'<p class="key">{spans}</p>'


def _called(layers: Layers, operation: Operation) -> str:
    """What an operation's layer is called, where that is not the operation's own word."""
    name = layers.of(operation).name
    return "" if name == operation else f"{name}: "


def _numbered(sheets: Sequence[Drawing]) -> list[tuple[int, Drawing]]:
    """The drawings with their sheets' numbers: a back has that of the front before it."""
    fronts = accumulate(int(sheet.face == "front") for sheet in sheets)
    return list(zip(fronts, sheets, strict=True))


def _figure(number: int, sheet: Drawing, size_mm: tuple[float, float]) -> str:
    """Draw a sheet of its own proportions with what is cut from it."""
    cut = f", {sheet.cut_length_mm / 1000.0:.2f} m to cut" if sheet.face == "front" else ""
    called = f", leftover “{sheet.offcut.name}”" if sheet.offcut is not None else ""
    back = ", back" if sheet.face == "back" else ""
    words = f"Sheet {number}{called}{back}: {_shapes(sheet.counts, whole=_is_whole(sheet))}{cut}"
    size_mm = size_mm if sheet.offcut is None else sheet.offcut.size_mm
    picture = svg_text(sheet, hairline_mm=HAIRLINE_MM, page_mm=size_mm, heading=False)
    return f"<figure>{picture}<figcaption>{clean(words)}</figcaption></figure>"
