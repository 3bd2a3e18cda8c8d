"""A cut list: one page with every sheet drawn, every piece's size and count, and what to mind."""

from __future__ import annotations

import math
import os
import xml.etree.ElementTree as ElementTree
from collections.abc import Sequence
from html import escape
from pathlib import Path

from ..errors import FileError
from ..part.stock import Stock
from ..sheet.placement import Piece
from .atomic import check_target, write_whole
from .cautions import cautions
from .drawing import Drawing, KerfState
from .svg import svg_text

__all__ = ["write_cut_list"]

STYLE = """
body { font: 15px/1.45 sans-serif; margin: 2em auto; max-width: 60em; padding: 0 1em; }
table { border-collapse: collapse; margin: 1em 0; }
th, td { border-bottom: 1px solid #bbb; padding: .25em .8em; text-align: right; }
th:first-child, td:first-child { text-align: left; }
svg { max-width: 100%; height: auto; border: 1px solid #ddd; padding: 4px; }
.mind { border-left: 4px solid #d55e00; padding-left: 1em; }
@media print { figure, table { break-inside: avoid; } }
"""
HAIRLINE_MM = 0.4
"""Thick enough to see on a page that is shown small."""


def write_cut_list(
    path: str | os.PathLike[str],
    *,
    title: str,
    stock: Stock,
    pieces: Sequence[Piece],
    sheets: Sequence[Drawing],
    kerf_state: KerfState,
    overwrite: bool = False,
) -> None:
    """Write one HTML page that needs no other file, whole or not at all.

    Parameters
    ----------
    path
        File to write, ending in .html.
    title, stock
        The heading, and what everything is cut from.
    pieces
        What to cut and how many, with finished sizes.
    sheets
        One drawing per sheet, as it is cut.
    kerf_state
        Whether the drawings allow for the stock's kerf.
    overwrite
        Whether a file of this name may be replaced.

    Raises
    ------
    FileError
        If there are no pieces, a drawing's kerf state differs, or the file cannot be written.
    """
    check_target(path, overwrite, ".html")
    _refuse_contradictions(pieces, sheets, kerf_state)
    body = [
        f"<h1>{_clean(title)}</h1>",
        _mind(stock),
        _stock_table(stock, kerf_state, len(sheets)),
        _piece_table(pieces),
        *(_figure(number, sheet) for number, sheet in enumerate(sheets, start=1)),
    ]
    rows = len(pieces)
    write_whole(
        path,
        _page(title, body).encode("utf-8"),
        lambda file: _check(file, rows, len(sheets)),
        overwrite=overwrite,
    )


def _refuse_contradictions(
    pieces: Sequence[Piece], sheets: Sequence[Drawing], kerf_state: KerfState
) -> None:
    if not pieces:
        raise FileError("A cut list needs at least one piece. Choose the parts to list.")
    for number, sheet in enumerate(sheets, start=1):
        if sheet.kerf_state != kerf_state:
            raise FileError(
                f"Sheet {number} is drawn with its kerf {sheet.kerf_state}, and the list says "
                f"{kerf_state}. Draw all sheets the same way."
            )


def _page(title: str, body: Sequence[str]) -> str:
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head><meta charset="utf-8" />'
        f"<title>{_clean(title)}</title><style>{STYLE}</style></head>\n<body>\n"
        + "\n".join(body)
        + "\n</body>\n</html>\n"
    )


def _check(file: Path, rows: int, sheets: int) -> None:
    """Read the page back: it is well formed and everything is on it."""
    try:
        root = ElementTree.parse(file).getroot()
    except ElementTree.ParseError as error:
        raise FileError(f"The cut list was not written whole ({error}). Save it again.") from error
    found = len(root.findall(".//table[@id='pieces']/tbody/tr"))
    drawn = len(root.findall(".//{http://www.w3.org/2000/svg}svg"))
    if (found, drawn) != (rows, sheets):
        raise FileError(
            f"The cut list reads back with {found} pieces on {drawn} sheets, and {rows} on "
            f"{sheets} were meant. Save it again."
        )


def _clean(text: str) -> str:
    return escape("".join(c for c in text if c >= " "))


def _mind(stock: Stock) -> str:
    items = "".join(f"<li>{_clean(text)}</li>" for text in cautions(stock.process))
    return f'<section class="mind"><h2>Before you cut</h2><ul>{items}</ul></section>'


def _stock_table(stock: Stock, kerf_state: KerfState, sheets: int) -> str:
    width, height = stock.sheet_mm
    rows = [
        ("Stock", stock.name),
        ("Thickness, as measured", f"{stock.thickness_mm:.2f} mm"),
        ("Process", stock.process),
        ("Kerf, as measured", f"{stock.kerf_mm:.2f} mm"),
        (
            "Kerf in the drawings",
            "allowed for: cut on the line, machine's own correction off"
            if kerf_state == "corrected"
            else "not allowed for: lines are finished sizes",
        ),
        ("Sheets", f"{sheets} of {width:g} × {height:g} mm"),
    ]
    if stock.process == "router":
        rows.insert(3, ("Cutter", f"{stock.cutter_diameter_mm:.2f} mm"))
    lines = "".join(f"<tr><th>{_clean(a)}</th><td>{_clean(b)}</td></tr>" for a, b in rows)
    return f"<table>{lines}</table>"


def _piece_table(pieces: Sequence[Piece]) -> str:
    heads = ("Piece", "Count", "Width", "Height", "Holes", "Cut length", "Area, each")
    lines = []
    for index, piece in enumerate(pieces, start=1):
        x0, y0, x1, y1 = piece.profile.bounds_mm
        length = math.fsum(loop.length_mm for loop in piece.profile.loops)
        cells = (
            piece.name or f"piece {index}",
            f"{piece.quantity}",
            f"{x1 - x0:.2f} mm",
            f"{y1 - y0:.2f} mm",
            f"{len(piece.profile.holes)}",
            f"{length * piece.quantity / 1000.0:.2f} m",
            f"{piece.profile.area_mm2 / 100.0:.1f} cm²",
        )
        lines.append("<tr>" + "".join(f"<td>{_clean(c)}</td>" for c in cells) + "</tr>")
    head = "".join(f"<th>{h}</th>" for h in heads)
    body = "\n".join(lines)
    return (
        f'<h2>Pieces</h2><table id="pieces"><thead><tr>{head}</tr></thead>'
        f"<tbody>{body}</tbody></table>"
    )


def _figure(number: int, sheet: Drawing) -> str:
    counts = sheet.counts
    words = (
        f"Sheet {number}: {counts['outside']} pieces, {counts['inside']} holes, "
        f"{counts['mark']} marks, {sheet.cut_length_mm / 1000.0:.2f} m to cut"
    )
    picture = svg_text(sheet, hairline_mm=HAIRLINE_MM, heading=False)
    return f"<figure>{picture}<figcaption>{_clean(words)}</figcaption></figure>"
