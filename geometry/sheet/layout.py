"""Lay pieces out on sheets: true shapes, turned where they may be, also in each other's holes."""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely.affinity import translate

from ..arrays import Matrix
from ..errors import SheetError
from ..outline import Profile
from ..part.stock import Stock
from ..progress import Progress, tell
from ..sentences import Sentence
from ..tolerance import LAYOUT_FLAT_MM
from .bitmap import TURNS, Bitmap, Turned, cell_size_mm, narrow_turns, turns
from .overlap import outside_sheet, too_close
from .placement import Layout, Piece, Placement, Sheet
from .sliding import slid

__all__ = ["assure", "lay_out", "sheet_of"]

LOOKING = 0.2
"""Share of the work that goes into drawing each piece's bitmaps."""


def lay_out(
    pieces: Sequence[Piece],
    stock: Stock,
    *,
    margin_mm: float = 5.0,
    gap_mm: float = 3.0,
    pinned: Sequence[tuple[int, Placement]] = (),
    progress: Progress | None = None,
) -> Layout:
    """Return where every copy of every piece goes; the same answer each time.

    The largest come first; each goes where it adds least to what the sheet already uses, tried at
    every position and at the turns 0°, 45°, 90° … 315°, or just 0° and 180° where the stock has a
    grain. One that fits at none of them lies at the turns at which it does, to a ten-thousandth of
    a degree. In the end all are slid together. Pieces are never mirrored.

    Parameters
    ----------
    pieces
        What to cut.
    stock
        Its ``sheet_mm`` is the sheet.
    margin_mm, gap_mm
        Least distance from the sheet's edge, and between pieces.
    pinned
        What already lies on a sheet (counted from 0) and stays there; not among ``pieces``.
    progress
        Told after each piece.

    Raises
    ------
    SheetError
        If there is nothing to lay out, a number is wrong, a piece is larger than the sheet, pinned
        pieces are in each other's way, or there are fewer sheets than needed.
    """
    _check(pieces, stock, margin_mm, gap_mm, len(pinned))
    width, height = (side - 2.0 * margin_mm for side in stock.sheet_mm)
    ways = _ways(pieces, stock, margin_mm, gap_mm, progress)
    jobs = [(-ways[i][0].hull_mm2, i, k) for i, p in enumerate(pieces) for k in range(p.quantity)]
    boards, placed = _begun(pinned, width, height, margin_mm, gap_mm)
    stay = [len(begun) for begun in placed]
    for done, (_, index, copy) in enumerate(sorted(jobs)):
        told = LOOKING + (0.95 - LOOKING) * done / len(jobs)
        tell(progress, told, f"Laying out piece {done + 1} of {len(jobs)}")
        board, matrix = _place(boards, ways[index], width, height)
        if board == len(placed):
            placed.append([])
        matrix[:2, 2] += margin_mm
        placed[board].append(Placement(pieces[index], copy, matrix))
    tell(progress, 0.95, "Measuring the layout")
    near = _slid(placed, stay, (gap_mm, margin_mm), upright=height > width)
    layout = Layout(tuple(sheet_of(p, stock) for p in near), stock)
    _refuse_missing(layout)
    assure(layout, margin_mm, gap_mm)
    tell(progress, 1.0, "Laid out")
    return layout


def _slid(
    placed: Sequence[Sequence[Placement]],
    stay: Sequence[int],
    spared_mm: tuple[float, float],
    *,
    upright: bool,
) -> list[list[Placement]]:
    """Every sheet's pieces slid together, but for the first so many, which stay."""
    counts = [*stay, *([0] * (len(placed) - len(stay)))]
    return [
        slid(some, *spared_mm, upright=upright, staying=count)
        for some, count in zip(placed, counts, strict=True)
    ]


def _ways(
    pieces: Sequence[Piece],
    stock: Stock,
    margin_mm: float,
    gap_mm: float,
    progress: Progress | None,
) -> list[list[Turned]]:
    """Return the turns at which each piece fits the sheet; refuse one that fits at none."""
    width, height = (side - 2.0 * margin_mm for side in stock.sheet_mm)
    cell = cell_size_mm(width, height)
    fitting = []
    for index, piece in enumerate(pieces):
        tell(progress, LOOKING * index / len(pieces), f"Turning piece {index + 1}")
        outline = piece.profile.polygon(LAYOUT_FLAT_MM)
        steps = 1 if not piece.can_turn else TURNS if stock.grain == "none" else 2
        reach, room = gap_mm / 2.0 + LAYOUT_FLAT_MM, (width, height)
        even = [step * 2.0 * math.pi / steps for step in range(steps)]
        fitting.append(turns(outline, cell, reach, room, even))
        if not fitting[-1] and steps == TURNS:
            # A long piece may fit along the diagonal alone.
            fitting[-1] = turns(outline, cell, reach, room, narrow_turns(outline, room))
        if not fitting[-1]:
            raise _too_large(piece, outline.bounds, stock, margin_mm)
    return fitting


def _begun(
    pinned: Sequence[tuple[int, Placement]],
    width: float,
    height: float,
    margin_mm: float,
    gap_mm: float,
) -> tuple[list[Bitmap], list[list[Placement]]]:
    """Boards that already carry what is pinned."""
    count = max((number + 1 for number, _ in pinned), default=0)
    cell = cell_size_mm(width, height)
    boards = [Bitmap(width, height, cell) for _ in range(count)]
    placed: list[list[Placement]] = [[] for _ in range(count)]
    for number, placement in pinned:
        lying = translate(placement.polygon(), -margin_mm, -margin_mm)
        boards[number].block(lying, gap_mm / 2.0 + LAYOUT_FLAT_MM)
        placed[number].append(placement)
    return boards, placed


def _check(
    pieces: Sequence[Piece], stock: Stock, margin_mm: float, gap_mm: float, pinned: int
) -> None:
    if not pinned and not any(p.quantity > 0 for p in pieces):
        raise SheetError("There is nothing to lay out. Choose at least one part.")
    for piece in pieces:
        if piece.quantity < 0:
            raise SheetError(
                "Piece “{name}” cannot be cut {quantity} times. Type another number.",
                name=piece.name,
                quantity=piece.quantity,
            )
    if not (margin_mm >= 0.0 and gap_mm >= 0.0 and math.isfinite(margin_mm + gap_mm)):
        raise SheetError("The margin and the gap between pieces are 0 mm or more. Type them again.")
    if 2.0 * margin_mm >= min(stock.sheet_mm):
        raise SheetError(
            "A margin of {margin_mm:g} mm leaves nothing of a sheet of "
            "{sheet_x_mm:g} × {sheet_y_mm:g} mm. Make the margin smaller.",
            margin_mm=margin_mm,
            sheet_x_mm=stock.sheet_mm[0],
            sheet_y_mm=stock.sheet_mm[1],
        )


def _too_large(
    piece: Piece, bounds_mm: tuple[float, float, float, float], stock: Stock, margin_mm: float
) -> SheetError:
    width, height = stock.sheet_mm
    x0, y0, x1, y1 = bounds_mm
    return SheetError(
        "Piece “{name}” of {wide_mm:.1f} × {high_mm:.1f} mm does not fit a sheet of {width_mm:g} × "
        "{height_mm:g} mm with a margin of {margin_mm:g} mm. Use a larger sheet, a smaller margin, "
        "or divide the piece.",
        name=piece.name or Sentence("without a name"),
        wide_mm=x1 - x0,
        high_mm=y1 - y0,
        width_mm=width,
        height_mm=height,
        margin_mm=margin_mm,
    )


def _place(
    boards: list[Bitmap], ways: Sequence[Turned], width: float, height: float
) -> tuple[int, Matrix]:
    """Put a piece on the first board with room, or on a new one; return which and where."""
    for index, board in enumerate(boards):
        spot = board.best_spot(ways)
        if spot is not None:
            return index, board.put(*spot)
    board = Bitmap(width, height, cell_size_mm(width, height))
    spot = board.best_spot(ways)
    if spot is None:
        raise SheetError("A piece finds no place on an empty sheet. Use a larger sheet.")
    boards.append(board)
    return len(boards) - 1, board.put(*spot)


def _refuse_missing(layout: Layout) -> None:
    have, need = layout.stock.sheets, len(layout.sheets)
    if have and need > have:
        missing = f"{need - have} {'is' if need - have == 1 else 'are'} missing"
        raise SheetError(
            "This takes {need} sheets of “{name}” and there are {have}: {missing}. "
            "Make the gap or margin smaller, cut fewer pieces, or raise the stock's "
            "number of sheets.",
            need=need,
            name=layout.stock.name,
            have=have,
            missing=missing,
        )


def sheet_of(
    placements: Sequence[Placement], stock: Stock, shape: Profile | None = None, name: str = ""
) -> Sheet:
    """Return a sheet with the share of its area that is pieces.

    Parameters
    ----------
    placements, stock
        What lies on it, and what it is.
    shape, name
        Of an offcut; a whole sheet has none.
    """
    area = math.fsum(p.piece.profile.area_mm2 for p in placements)
    whole = stock.sheet_mm[0] * stock.sheet_mm[1] if shape is None else shape.area_mm2
    return Sheet(tuple(placements), area / whole, shape, name)


def assure(layout: Layout, margin_mm: float, gap_mm: float) -> None:
    """Measure the finished layout exactly: the bitmap is a help, not a proof.

    Parameters
    ----------
    layout
        As found.
    margin_mm, gap_mm
        Least distance to the sheet's edge and between parts.
    """
    near = too_close(layout, gap_mm - 2.0 * LAYOUT_FLAT_MM)
    off = outside_sheet(layout, margin_mm - LAYOUT_FLAT_MM)
    if near or off:
        place = near[0].where_mm if near else off[0]
        raise SheetError(
            "Pieces come too close to each other or to the edge at ({place_x:.1f}, "
            "{place_y:.1f}) mm. Move the pinned pieces apart, or change the gap a "
            "little.",
            place_x=place[0],
            place_y=place[1],
        )
