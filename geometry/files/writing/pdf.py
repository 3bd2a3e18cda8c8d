"""A full-size paper template: the drawing in tiles to print, tape together and check."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from shapely import LineString, box, unary_union

from ...errors import FileError
from ...outline.curves import move_matrix
from ..drawing import Drawing
from ..layers import STANDING, Operation
from ..solid import solid
from .atomic import check_target, write_whole
from .pdf_writer import Page, check_pdf, pdf_bytes

__all__ = ["PAPERS_MM", "Template", "write_pdf_template"]

PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""ISO 216; ANSI/ASME Y14.1 size A."""
EDGE_MM = 8.0
"""What printers leave white."""
FOOT_MM = 22.0
"""Room at the bottom for the label and the bar."""
OVERLAP_MM = 12.0
"""Wide enough for two crosses and glue. Chosen."""
BAR_MM = 100.0
INCHES = 4
MOST_PAGES = 200
"""Chosen: nobody glues more together."""
DASHES: dict[Operation, tuple[float, ...]] = {
    "outside": (),
    "inside": (6.0, 2.0),
    "mark": (1.5, 1.5),
    "score": (3.0, 1.5, 0.5, 1.5),
    "measure": (0.5, 2.0),
}
GREY = (110, 110, 110)
BLACK = (0, 0, 0)


@dataclass(frozen=True, slots=True)
class Template:
    """What was written: the map page and then one page per tile that is not blank."""

    pages: int
    rows: int
    columns: int
    paper_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Tiles:
    """How the drawing's box is divided. Tile (0, 0) is the top left one."""

    paper: tuple[float, float]
    origin: tuple[float, float]
    rows: int
    columns: int

    @property
    def view(self) -> tuple[float, float]:
        return (self.paper[0] - 2.0 * EDGE_MM, self.paper[1] - EDGE_MM - FOOT_MM)

    def corner(self, row: int, column: int) -> tuple[float, float]:
        """Lower left corner of a tile's view on the drawing."""
        width, height = self.view
        return (
            self.origin[0] + column * (width - OVERLAP_MM),
            self.origin[1] - height - row * (height - OVERLAP_MM),
        )


def write_pdf_template(
    path: str | os.PathLike[str],
    drawing: Drawing,
    paper: Literal["A4", "Letter"] = "A4",
    overwrite: bool = False,
) -> Template:
    """Write the drawing at full size over as many pages as it takes, whole or not at all.

    The first page is a map of the others; every page has a bar of 100 mm to measure, on Letter also
    one of 4 in.
    Neighbouring pages share a strip of 12 mm with crosses to lay on each other. Blank pages are
    left out. The paper is turned to the side that needs fewer pages.

    Parameters
    ----------
    path
        Of the file to be.
    drawing
        What is drawn, in mm.
    paper
        "A4" or "Letter".
    overwrite
        Whether an older file may be replaced.

    Raises
    ------
    FileError
        If there is no such paper, the drawing needs more than 200 pages, or it cannot be written.
    """
    if paper not in PAPERS_MM:
        raise FileError(
            "There is no paper “{paper}” here. Choose A4 or Letter.",
            paper=paper,
        )
    check_target(path, overwrite, ".pdf")
    upright = PAPERS_MM[paper]
    tiles = min(
        (_divide(drawing, sides) for sides in (upright, upright[::-1])),
        key=lambda t: t.rows * t.columns,
    )
    if tiles.rows * tiles.columns > MOST_PAGES:
        raise FileError(
            "At full size this drawing needs {rows} pages of {paper}. Save fewer parts at a time.",
            rows=tiles.rows * tiles.columns,
            paper=paper,
        )
    used = _used(drawing, tiles)
    pages = [_map_page(drawing, tiles, used)] + [_tile_page(drawing, tiles, *t) for t in used]
    data = pdf_bytes(pages, drawing.title)
    write_whole(path, data, lambda file: check_pdf(file, len(pages)), overwrite=overwrite)
    return Template(len(pages), tiles.rows, tiles.columns, tiles.paper)


def _divide(drawing: Drawing, paper: tuple[float, float]) -> _Tiles:
    x0, y0, x1, y1 = drawing.bounds_mm
    # A little air, or lines on the rim would be cut in half.
    width, height = x1 - x0 + 2.0, y1 - y0 + 2.0
    view = _Tiles(paper, (0.0, 0.0), 1, 1).view

    def count(length: float, room: float) -> int:
        return max(math.ceil((length - OVERLAP_MM) / (room - OVERLAP_MM) - 1e-9), 1)

    return _Tiles(paper, (x0 - 1.0, y1 + 1.0), count(height, view[1]), count(width, view[0]))


def _used(drawing: Drawing, tiles: _Tiles) -> list[tuple[int, int]]:
    """Tiles with a line or some of a part on them."""
    drawn = unary_union(
        [solid(s.segments) if s.closed else LineString(s.points(0.05)) for s in drawing.shapes]
    )
    width, height = tiles.view
    found = []
    for row in range(tiles.rows):
        for column in range(tiles.columns):
            x, y = tiles.corner(row, column)
            if drawn.intersects(box(x, y, x + width, y + height)):
                found.append((row, column))
    return found


def _label(row: int, column: int) -> str:
    """A1 is the top left page; rows go on A, B … Z, AA."""
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(65 + rest) + letters
    return f"{letters}{column + 1}"


def _tile_page(drawing: Drawing, tiles: _Tiles, row: int, column: int) -> Page:
    page = Page(*tiles.paper)
    width, height = tiles.view
    x, y = tiles.corner(row, column)
    page.clip(EDGE_MM, FOOT_MM, width, height)
    to_page = move_matrix(EDGE_MM - x, FOOT_MM - y)
    for shape in drawing.shapes:
        page.pen(0.2, drawing.layers.of(shape.operation).colour, DASHES[shape.operation])
        page.path(shape.transformed(to_page).segments, shape.closed)
    page.unclip()
    page.pen(0.1, GREY)
    page.rectangle(EDGE_MM, FOOT_MM, width, height)
    inner = OVERLAP_MM / 2.0
    for cx in (EDGE_MM + inner, EDGE_MM + width - inner):
        for cy in (FOOT_MM + inner, FOOT_MM + height - inner):
            page.line((cx - 4.0, cy), (cx + 4.0, cy))
            page.line((cx, cy - 4.0), (cx, cy + 4.0))
    page.pen(0.2, BLACK)
    kerf = "nominal"
    if drawing.kerf_state == "corrected":
        kerf = f"corrected for {drawing.kerf_mm:.3g} mm"
    page.words(EDGE_MM, 5.5, f"{_label(row, column)}  {drawing.title[:60]} - kerf {kerf}")
    _bars(page, EDGE_MM, 14.5, tiles.paper)
    return page


def _bars(page: Page, x: float, y: float, paper: tuple[float, float]) -> None:
    """Draw the bar to measure; on paper in inches one in inches beside it."""
    page.pen(0.2, BLACK)
    page.line((x, y), (x + BAR_MM, y))
    for tick in range(11):
        page.line((x + 10.0 * tick, y), (x + 10.0 * tick, y + (3.0 if tick % 5 == 0 else 1.5)))
    page.words(x + BAR_MM + 2.0, y, "100 mm", 3.0)
    if tuple(sorted(paper)) != PAPERS_MM["Letter"]:
        return
    # The inches hang from the same line, so that one glance compares the two.
    page.line((x, y - 0.5), (x + INCHES * 25.4, y - 0.5))
    for tick in range(8 * INCHES + 1):
        depth = 3.0 if tick % 8 == 0 else 1.5 if tick % 4 == 0 else 0.8
        at = x + 25.4 * tick / 8.0
        page.line((at, y - 0.5), (at, y - 0.5 - depth))
    page.words(x + BAR_MM + 2.0, y - 3.8, f"{INCHES} in", 3.0)


def _map_page(drawing: Drawing, tiles: _Tiles, used: Sequence[tuple[int, int]]) -> Page:
    page = Page(*tiles.paper)
    width, height = tiles.paper
    page.pen(0.2, BLACK)
    page.words(15.0, height - 20.0, drawing.title[:50] or "Full-size template", 6.0)
    size = drawing.size_mm
    pages = "1 page" if len(used) == 1 else f"{len(used)} pages"
    lines = [
        f"{size[0]:.1f} × {size[1]:.1f} mm at full size, {pages} after this one.",
        "Print at 100 %, without fitting to the page, then measure this bar:",
    ]
    for index, text in enumerate(lines):
        page.words(15.0, height - 30.0 - 6.0 * index, text)
    _bars(page, 15.0, height - 46.0, tiles.paper)
    after = [
        drawing.kerf_sentence,
        "Trim one side of each joint and lay the crosses of both pages on each other.",
        *drawing.notes[:3],
    ]
    page.pen(0.2, BLACK)
    for index, text in enumerate(after):
        page.words(15.0, height - 57.0 - 5.0 * index, text[:120], 3.0)
    _legend(page, drawing, 15.0, height - 84.0)
    _draw_map(page, drawing, tiles, used, (15.0, 15.0, width - 30.0, height - 110.0))
    return page


def _legend(page: Page, drawing: Drawing, x: float, y: float) -> None:
    meanings: dict[Operation, str] = {
        "outside": "outside cut",
        "inside": "inside cut, first",
        "mark": "mark, not cut",
        "score": "score, not cut through",
        "measure": "to align by",
    }
    # The first three are what everybody looks for, the others where there are such lines.
    shown = [o for o in meanings if o in STANDING or drawing.counts.get(o)]
    for index, operation in enumerate(shown):
        meaning = meanings[operation]
        left, y = x + 55.0 * (index % 3), y - (5.0 if index == 3 else 0.0)
        page.pen(0.4, drawing.layers.of(operation).colour, DASHES[operation])
        page.line((left, y + 1.0), (left + 15.0, y + 1.0))
        page.pen(0.2, BLACK)
        page.words(left + 18.0, y, meaning, 3.0)


def _draw_map(
    page: Page,
    drawing: Drawing,
    tiles: _Tiles,
    used: Sequence[tuple[int, int]],
    frame: tuple[float, float, float, float],
) -> None:
    """Draw the whole small, with the pages' edges and names."""
    x0, low = tiles.corner(tiles.rows - 1, 0)
    right = tiles.corner(0, tiles.columns - 1)[0] + tiles.view[0]
    top = tiles.origin[1]
    left, bottom, width, height = frame
    scale = min(width / (right - x0), height / (top - low), 1.0)
    to_page = move_matrix(left, bottom) @ np.diag([scale, scale, 1.0]) @ move_matrix(-x0, -low)
    for shape in drawing.shapes:
        page.pen(0.15, drawing.layers.of(shape.operation).colour)
        page.path(shape.transformed(to_page).segments, shape.closed)
    page.pen(0.1, GREY)
    for row, column in used:
        x, y = tiles.corner(row, column)
        px, py = left + (x - x0) * scale, bottom + (y - low) * scale
        page.rectangle(px, py, tiles.view[0] * scale, tiles.view[1] * scale)
        page.words(px + 1.5, py + tiles.view[1] * scale - 4.5, _label(row, column), 3.5)
