"""A bench to print: squares, dots along the border, and two lines to measure by a steel rule."""

import math
import os

from ...bench import BENCH_PAPERS, PrintedBench, ring_bits, ring_cells
from ...errors import FileError
from .atomic import check_target, write_whole
from .pdf_writer import Page, check_pdf, pdf_bytes

__all__ = ["write_bench_pdf"]

PITCH_MM, DOT_MM = 10.0, 4.0
LINE_MM, BOLD_MM = 0.25, 0.45
BOLD_EVERY = 5
INK = (70, 90, 110)
BLACK = (0, 0, 0)
TICK_MM = 3.0
EDGE_MM, OVERLAP_MM = 8.0, 12.0
"""What printers leave white, and what neighbouring pages of a large bench share."""
TILE_PAPER_MM = (297.0, 210.0)
"""Large benches are printed on A4, ISO 216."""


def write_bench_pdf(path: str | os.PathLike[str], paper: str, overwrite: bool = False) -> int:
    """Write a bench to print at full size, whole or not at all; return how many pages it has.

    Parameters
    ----------
    path
        Of the file to be.
    paper
        A key of `BENCH_PAPERS`; A2 comes as pages of A4 to be glued.
    overwrite
        Whether an older file may be replaced.

    Raises
    ------
    FileError
        If there is no such paper, or the file cannot be written.
    """
    if paper not in BENCH_PAPERS:
        raise FileError(
            "There is no bench for paper “{paper}”. Choose A4, A3, Letter or A2.", paper=paper
        )
    check_target(path, overwrite, ".pdf")
    printed = BENCH_PAPERS[paper]
    pages = _tiles(printed) if paper == "A2" else [_whole(printed)]
    data = pdf_bytes(pages, f"Bench {printed.name}")
    write_whole(path, data, lambda file: check_pdf(file, len(pages)), overwrite=overwrite)
    return len(pages)


def _whole(printed: PrintedBench) -> Page:
    page = Page(*printed.paper_mm)
    _draw(page, printed, (0.0, 0.0))
    return page


def _tiles(printed: PrintedBench) -> list[Page]:
    """Pages that share a strip with their neighbours, from the lower left along."""
    room = [side - 2.0 * EDGE_MM for side in TILE_PAPER_MM]
    step = [side - OVERLAP_MM for side in room]
    counts = [
        math.ceil((whole - OVERLAP_MM) / one)
        for whole, one in zip(printed.paper_mm, step, strict=True)
    ]
    pages = []
    for row in range(counts[1]):
        for column in range(counts[0]):
            page = Page(*TILE_PAPER_MM)
            page.clip(EDGE_MM, EDGE_MM, *room)
            _draw(page, printed, (EDGE_MM - column * step[0], EDGE_MM - row * step[1]))
            page.unclip()
            page.pen(0.2, BLACK)
            page.words(EDGE_MM, 3.0, f"{printed.name}: {column + 1}, {row + 1}", 3.0)
            pages.append(page)
    return pages


def _draw(page: Page, printed: PrintedBench, shift: tuple[float, float]) -> None:
    """Draw the whole sheet, its lower left corner at a place of the page."""
    along, up = printed.lines_mm
    left = shift[0] + (printed.paper_mm[0] - along) / 2.0
    low = shift[1] + (printed.paper_mm[1] - up) / 2.0
    for count, is_upright in ((printed.columns, True), (printed.rows, False)):
        for k in range(count + 1):
            page.pen(BOLD_MM if k % BOLD_EVERY == 0 else LINE_MM, INK)
            at = k * PITCH_MM
            if is_upright:
                page.line((left + at, low), (left + at, low + up))
            else:
                page.line((left, low + at), (left + along, low + at))
    page.pen(DOT_MM, BLACK)
    cells = ring_cells(printed)
    for (i, j), has_dot in zip(cells, ring_bits(len(cells)), strict=True):
        if has_dot:
            # Round ends make a dot of a line without length to speak of.
            x, y = left + (i + 0.5) * PITCH_MM, low + (j + 0.5) * PITCH_MM
            page.line((x, y), (x + 0.001, y))
    _to_measure(page, printed, left, low)


def _to_measure(page: Page, printed: PrintedBench, left: float, low: float) -> None:
    """The two lines at right angles, from tick to tick as long as the grid, with their names."""
    along, up = printed.lines_mm
    page.pen(LINE_MM, BLACK)
    y, x = low - TICK_MM, left - TICK_MM
    page.line((left, y), (left + along, y))
    page.line((x, low), (x, low + up))
    for end in (left, left + along):
        page.line((end, y - TICK_MM / 2.0), (end, y + TICK_MM / 2.0))
    for end in (low, low + up):
        page.line((x - TICK_MM / 2.0, end), (x + TICK_MM / 2.0, end))
    page.words(
        left + 20.0, y - 3.0,
        f"Along: {along:g} mm.  Up: {up:g} mm.  Print at 100 %, then measure both with a steel "
        "rule and type what you read.", 2.5,
    )  # fmt: skip
