"""Everything a job leaves behind for the machine and the bench, written in one go."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Literal

from ...errors import FileError
from ...part.stock import Stock
from ...progress import Progress
from ...sheet.placement import Piece
from ..drawing import Drawing
from ..duration import FeedRates
from ..reading import Verification
from .cut_notes import CutNotes
from .cutlist import write_cut_list
from .dxf import write_dxf
from .naming import file_name
from .part_drawings import write_part_drawings
from .pdf import write_pdf_template
from .svg import write_svg
from .together import write_together

__all__ = ["Formats", "save_cut_files"]


@dataclass(frozen=True, slots=True)
class Formats:
    """Which files to write, and how.

    ``template`` is the sheet at full size on sheets of ``paper``; ``cut_list`` is one page a stock;
    ``drawings`` are dimensioned, a page a part, and stand in the cut list too;
    the page of an SVG is the box of the ``"drawing"`` or the whole ``"sheet"``.
    """

    dxf: bool = True
    svg: bool = True
    template: bool = False
    cut_list: bool = True
    drawings: bool = False
    dxf_version: Literal["R2010", "R12"] = "R2010"
    dxf_unit: Literal["mm", "in"] = "mm"
    dxf_entities: Literal["segments", "polylines"] = "segments"
    hairline_mm: float = 0.1
    svg_page: Literal["drawing", "sheet"] = "drawing"
    paper: Literal["A4", "Letter"] = "A4"


def save_cut_files(
    folder: str | os.PathLike[str],
    sheets: Sequence[tuple[Drawing, Stock]],
    pieces: Sequence[tuple[Stock, Sequence[Piece]]],
    *,
    title: str,
    notes: CutNotes | None = None,
    guessed: Mapping[str, Collection[str]] | None = None,
    rates: Mapping[str, FeedRates] | None = None,
    formats: Formats | None = None,
    overwrite: bool = False,
    progress: Progress | None = None,
) -> tuple[Path, ...]:
    """Write every sheet's files and each stock's cut list, all or none; return their paths.

    Parameters
    ----------
    folder
        Where to write; it must exist.
    sheets
        Each sheet's drawing and what it is cut from.
    pieces
        What is wanted of each stock, at finished size, for the cut list.
    title, notes
        The job's name, and what its cut lists say beside pieces and sheets.
    guessed, rates
        By a stock's name what of "thickness" and "kerf" was never measured; measured feed rates.
    formats, overwrite
        Which files; by default DXF, SVG and cut list. Whether those there are may be replaced.
    progress
        Told before each file.

    Raises
    ------
    FileError
        If there is nothing to write, or one of the files cannot be written or does not read back.
    """
    formats = formats or Formats()
    if not sheets:
        raise FileError("There is no sheet to write. Lay out the sheets first.")
    # Filled while the sheets are written; the cut lists come after them and tell it.
    measured: dict[str, list[tuple[str, Verification]]] = {stock.name: [] for _, stock in sheets}
    files = []
    for drawn, stock in sheets:
        files += _sheet_files(drawn, stock, formats, measured[stock.name])
    if formats.cut_list:
        notes = replace(notes or CutNotes(), drawings=formats.drawings)
        files += _cut_lists(sheets, pieces, title, notes, guessed or {}, rates or {}, measured)
    files += _part_drawings(pieces, title, formats)
    if not files:
        raise FileError(
            "No kind of file is chosen. Choose DXF, SVG, the paper template or the cut list."
        )
    return write_together(folder, files, overwrite=overwrite, progress=progress)


def _sheet_files(
    drawn: Drawing,
    stock: Stock,
    formats: Formats,
    measured: list[tuple[str, Verification]],
) -> list[tuple[str, Callable[[Path], object]]]:
    def named(title: str, ending: str) -> str:
        return file_name(title, stock, drawn.kerf_state, ending)

    dxf = partial(
        write_dxf,
        drawing=drawn,
        version=formats.dxf_version,
        unit=formats.dxf_unit,
        entities=formats.dxf_entities,
    )

    def noting(write: Callable[[Path], Verification]) -> Callable[[Path], object]:
        return lambda path: measured.append((path.name, write(path)))

    files: list[tuple[str, Callable[[Path], object]]] = []
    if formats.dxf:
        files.append((named(drawn.title, "dxf"), noting(dxf)))
    if formats.svg:
        sheet_mm = stock.sheet_mm if drawn.offcut is None else drawn.offcut.size_mm
        page = sheet_mm if formats.svg_page == "sheet" else None
        svg = partial(write_svg, drawing=drawn, hairline_mm=formats.hairline_mm, page_mm=page)
        files.append((named(drawn.title, "svg"), noting(svg)))
    if formats.template:
        template = partial(write_pdf_template, drawing=drawn, paper=formats.paper)
        files.append((named(f"{drawn.title} template", "pdf"), template))
    return files


def _part_drawings(
    pieces: Sequence[tuple[Stock, Sequence[Piece]]], title: str, formats: Formats
) -> list[tuple[str, Callable[[Path], object]]]:
    files: list[tuple[str, Callable[[Path], object]]] = []
    for stock, wanted in pieces:
        if wanted and formats.drawings:
            write = partial(
                write_part_drawings, pieces=wanted, stock=stock, title=title, paper=formats.paper
            )
            # Sizes are those of the finished part, whatever the kerf of its paths.
            files.append((file_name(f"{title} drawings", stock, "nominal", "pdf"), write))
    return files


def _cut_lists(
    sheets: Sequence[tuple[Drawing, Stock]],
    pieces: Sequence[tuple[Stock, Sequence[Piece]]],
    title: str,
    notes: CutNotes,
    guessed: Mapping[str, Collection[str]],
    rates: Mapping[str, FeedRates],
    measured: Mapping[str, Sequence[tuple[str, Verification]]],
) -> list[tuple[str, Callable[[Path], object]]]:
    files: list[tuple[str, Callable[[Path], object]]] = []
    for stock, wanted in pieces:
        drawings = [drawn for drawn, of in sheets if of.name == stock.name]
        if drawings:
            state = drawings[0].kerf_state
            write = partial(
                write_cut_list,
                title=title,
                stock=stock,
                pieces=wanted,
                sheets=drawings,
                kerf_state=state,
                notes=notes,
                rates=rates.get(stock.name),
                guessed=guessed.get(stock.name, ()),
                measured=measured[stock.name],
            )
            files.append((file_name(f"{title} cut list", stock, state, "html"), write))
    return files
