"""A drawing to show: one page a part, dimensioned where a caliper can measure it."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal
from xml.sax.saxutils import escape

import numpy as np

from ...arrays import Matrix, Point
from ...errors import FileError
from ...outline import Segment
from ...outline.curves import move_matrix
from ...part.stock import Stock
from ...sheet.placement import Piece
from ..dimensions import Dimension, dimensions_of
from .atomic import check_target, write_whole
from .page_text import clean
from .pdf import BLACK, GREY, PAPERS_MM
from .pdf_writer import Page, check_pdf, pdf_bytes

__all__ = ["drawing_svg", "drawn_pieces", "write_part_drawings"]

SCALES = (1.0, 0.5, 0.2, 0.1, 0.05, 0.02)
"""1:1 to 1:50 (ISO 5455)."""
FRAME_MM = (20.0, 45.0, 25.0, 22.0)
"""Left, below, right and above the drawing: room for dimensions and the words below them."""
FROM_CENTRE_MM, STUB_MM = 30.0, 10.0
"""On paper: a radius is drawn from a centre so near, else this much of it (chosen)."""
LETTER_MM, ARROW_MM, OFF_MM = 3.5, 2.5, 10.0
"""Height of figures and length of arrows (ISO 3098, ISO 129-1; from memory); how far outside the
part the overall sizes stand."""


@dataclass(frozen=True, slots=True)
class _PaperDrawing:
    """What is drawn, in mm of the paper: the part, thin lines, and words at places."""

    part: tuple[tuple[Segment, ...], ...]
    lines: tuple[tuple[Point, Point], ...]
    words: tuple[tuple[Point, str], ...]
    scale: float


def write_part_drawings(
    path: str | os.PathLike[str],
    pieces: Sequence[Piece],
    stock: Stock,
    *,
    title: str = "",
    paper: Literal["A4", "Letter"] = "A4",
    overwrite: bool = False,
) -> int:
    """Write one page a piece, at the largest standard scale that fits; return how many.

    Parameters
    ----------
    path
        Ends in .pdf.
    pieces, stock
        What is drawn, at finished size, and what it is made of.
    title
        Of the job.
    paper
        "A4" or "Letter".
    overwrite
        Whether an older file may be replaced.

    Raises
    ------
    FileError
        If there is no piece or no such paper, or the file cannot be written.
    """
    if not pieces:
        raise FileError("There is no part to draw. Make a part first.")
    if paper not in PAPERS_MM:
        raise FileError("There is no paper “{paper}” here. Choose A4 or Letter.", paper=paper)
    check_target(path, overwrite, ".pdf")
    pages = [_page(piece, stock, title, PAPERS_MM[paper]) for piece in pieces]
    data = pdf_bytes(pages, title)
    write_whole(path, data, lambda file: check_pdf(file, len(pages)), overwrite=overwrite)
    return len(pages)


def _page(piece: Piece, stock: Stock, title: str, paper: tuple[float, float]) -> Page:
    x0, y0, x1, y1 = piece.profile.bounds_mm
    sides = paper if y1 - y0 >= x1 - x0 else paper[::-1]
    sheet = _laid(piece, sides)
    page = Page(*sides)
    page.pen(0.5, BLACK)
    for loop in sheet.part:
        page.path(loop, True)
    page.pen(0.18, GREY)
    for line in sheet.lines:
        page.line(*line)
    page.pen(0.18, BLACK)
    for (x, y), text in sheet.words:
        page.words(x, y, text, LETTER_MM)
    page.rectangle(10.0, 10.0, sides[0] - 20.0, sides[1] - 20.0)
    scale = "1:1" if sheet.scale == 1.0 else f"1:{1.0 / sheet.scale:g}"
    told = f"{stock.name}, {stock.thickness_mm:.2f} mm; {piece.quantity} wanted; {scale}; mm"
    page.words(14.0, 20.0, piece.name or "Part", 5.0)
    page.words(14.0, 13.5, f"{title[:60]}: {told}" if title else told, 3.0)
    return page


def _laid(piece: Piece, sides: tuple[float, float]) -> _PaperDrawing:
    """A part with its dimensions on a paper of some size."""
    x0, y0, x1, y1 = piece.profile.bounds_mm
    left, below, right, above = FRAME_MM
    room = (sides[0] - left - right, sides[1] - below - above)
    fits = [s for s in SCALES if (x1 - x0) * s <= room[0] and (y1 - y0) * s <= room[1]]
    scale = fits[0] if fits else min(room[0] / (x1 - x0), room[1] / (y1 - y0))
    shift = (
        left + (room[0] - (x1 - x0) * scale) / 2.0,
        below + (room[1] - (y1 - y0) * scale) / 2.0,
    )
    onto = move_matrix(*shift) @ np.diag([scale, scale, 1.0]) @ move_matrix(-x0, -y0)
    part = tuple(
        tuple(segment.transformed(onto) for segment in loop.segments)
        for loop in piece.profile.loops
    )
    lines: list[tuple[Point, Point]] = []
    words: list[tuple[Point, str]] = []
    for one in dimensions_of(piece.profile):
        own, place = _lines(one, onto)
        lines += own
        words.append((place, one.words))
    return _PaperDrawing(part, tuple(lines), tuple(words), scale)


def _lines(one: Dimension, onto: Matrix) -> tuple[list[tuple[Point, Point]], Point]:
    """Thin lines of a dimension and where its words begin, on the paper."""
    a, b = (_at(onto, p) for p in (one.start, one.end))
    if one.kind == "width":
        return _overall(a, b, (0.0, -OFF_MM)), ((a[0] + b[0]) / 2.0 - 6.0, a[1] - OFF_MM + 1.2)
    if one.kind == "height":
        return _overall(a, b, (OFF_MM, 0.0)), (a[0] + OFF_MM + 1.5, (a[1] + b[1]) / 2.0)
    if one.kind == "slot":
        tail = _beyond(a, b, 3.0 * ARROW_MM)
        return [(_beyond(b, a, 2.0 * ARROW_MM), tail), *_arrow(b, a), *_arrow(a, b)], (
            tail[0] + 1.0,
            tail[1] + 1.0,
        )
    tip = _beyond(a, b, 8.0)
    start = _beyond(b, a, math.dist(a, b)) if one.kind == "diameter" else a
    if one.kind == "radius" and math.dist(a, b) > FROM_CENTRE_MM:
        # From a far centre the line would cross the drawing, or the page's edge.
        start = _beyond(a, b, -STUB_MM)
    return [(start, tip), *_arrow(a, b)], (tip[0] + 1.0, tip[1])


def _overall(a: Point, b: Point, off: Point) -> list[tuple[Point, Point]]:
    """Extension lines, the dimension line and its arrows, to one side of the part."""
    first, second = ((p[0] + off[0], p[1] + off[1]) for p in (a, b))
    reach = 1.0 + 2.0 / OFF_MM
    ends = [(p, (p[0] + reach * off[0], p[1] + reach * off[1])) for p in (a, b)]
    return [*ends, (first, second), *_arrow(first, second), *_arrow(second, first)]


def _arrow(a: Point, b: Point) -> list[tuple[Point, Point]]:
    """The head, at ``b``, of an arrow from ``a``: 30° open (ISO 129-1)."""
    angle = math.atan2(b[1] - a[1], b[0] - a[0])
    wings = (angle + math.pi - math.radians(15.0), angle + math.pi + math.radians(15.0))
    return [(b, (b[0] + ARROW_MM * math.cos(w), b[1] + ARROW_MM * math.sin(w))) for w in wings]


def _beyond(a: Point, b: Point, by_mm: float) -> Point:
    """A place past ``b`` as seen from ``a``."""
    far = max(math.dist(a, b), 1e-9)
    return (b[0] + (b[0] - a[0]) * by_mm / far, b[1] + (b[1] - a[1]) * by_mm / far)


def _at(onto: Matrix, point: Point) -> Point:
    x, y = onto[:2, :2] @ point + onto[:2, 2]
    return (float(x), float(y))


def drawing_svg(piece: Piece) -> str:
    """The same drawing as an SVG that stands inside a page of HTML, at most half a page wide."""
    sides = PAPERS_MM["A4"][::-1]
    sheet = _laid(piece, sides)
    height = sides[1]

    def spot(point: Point) -> str:
        return f"{point[0]:.3f} {height - point[1]:.3f}"

    body = []
    for loop in sheet.part:
        places = [p for segment in loop for p in segment.flatten(0.02).tolist()]
        body.append(f'<path d="M {" L ".join(spot((x, y)) for x, y in places)} Z" />')
    for a, b in sheet.lines:
        body.append(f'<path class="thin" d="M {spot(a)} L {spot(b)}" />')
    for (x, y), text in sheet.words:
        body.append(f'<text x="{x:.2f}" y="{height - y:.2f}">{escape(text)}</text>')
    view = f"0 0 {sides[0]:g} {height:g}"
    name = 'xmlns="http://www.w3.org/2000/svg" class="drawing"'
    return f'<svg {name} viewBox="{view}">{"".join(body)}</svg>'


def drawn_pieces(pieces: Sequence[Piece]) -> list[str]:
    """Every piece with its dimensions, in mm, as parts of a page of HTML."""
    drawn = []
    for number, piece in enumerate(pieces, start=1):
        name = clean(piece.name or f"piece {number}")
        drawn.append(f'<div class="drawn"><b>{name}</b>{drawing_svg(piece)}</div>')
    return ["<h2>Drawings, mm</h2>", *drawn]
