"""Leftover sheets of any shape, filled before whole ones, and what a layout leaves of a sheet.

Pieces go where they add least, as on a whole sheet; which order of them places most is not known
beforehand, so several are tried, the largest first and then orders near it, and the one that places
the most area is taken. The orders are drawn from a fixed seed, so the answer is the same each time.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypedDict

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import translate

from ..arrays import Matrix
from ..outline import Profile
from ..part.stock import Stock
from ..progress import Progress, stage, tell
from ..tolerance import LAYOUT_FLAT_MM
from ..uniting import united
from .bitmap import TURNS, Bitmap, Turned, cell_size_mm, turns
from .layout import assure, lay_out, sheet_of
from .placement import Layout, Piece, Placement, Sheet

__all__ = ["Offcut", "fill", "lay_out_on", "leftovers_of"]

ORDERS = 12
"""Orders tried. Chosen: as long as one layout of a full sheet takes."""
SHUFFLED = 0.25
"""How far orders leave that of size, as the spread of a factor on each piece's area (chosen)."""
LEAST_LEFT_MM = 30.0
"""A leftover narrower than this is swept up (common practice, no source)."""
SIMPLE_MM = 1.0
"""A leftover's outline is drawn so roughly, always inside what is left: it is traced by a hand
saw's or a pencil's line anyway."""


@dataclass(frozen=True, slots=True)
class Offcut:
    """A leftover sheet: its name, and its shape with the lower left of its box at (0, 0)."""

    name: str
    shape: Profile

    @classmethod
    def of(cls, name: str, shape: Profile) -> Offcut:
        """An offcut of a shape that lies anywhere."""
        x0, y0, _, _ = shape.bounds_mm
        return cls(name, shape.moved(-x0, -y0))

    @property
    def size_mm(self) -> tuple[float, float]:
        """(width, height) of its box."""
        x0, y0, x1, y1 = self.shape.bounds_mm
        return (x1 - x0, y1 - y0)


class _Spared(TypedDict):
    margin_mm: float
    gap_mm: float


def lay_out_on(
    pieces: Sequence[Piece],
    stock: Stock,
    offcuts: Sequence[Offcut],
    *,
    margin_mm: float = 5.0,
    gap_mm: float = 3.0,
    pinned: Sequence[tuple[int, Placement]] = (),
    progress: Progress | None = None,
) -> Layout:
    """Return a layout that fills offcuts first, holes and all, and puts the rest on whole sheets.

    Parameters
    ----------
    pieces, stock, margin_mm, gap_mm, progress
        As of `lay_out`.
    offcuts
        Of this stock; those on which nothing fits are left out.
    pinned
        What stays on whole sheets, counted from 0 without the offcuts.

    Raises
    ------
    SheetError
        As `lay_out` does.
    """
    spared: _Spared = {"margin_mm": margin_mm, "gap_mm": gap_mm}
    if not offcuts:
        return lay_out(pieces, stock, **spared, pinned=pinned, progress=progress)
    filled, left = fill(pieces, stock, offcuts, **spared, progress=stage(progress, 0.0, 0.7))
    if not pinned and not any(piece.quantity for piece in left):
        tell(progress, 1.0, "Laid out")
        return Layout(filled, stock)
    rest = lay_out(left, stock, **spared, pinned=pinned, progress=stage(progress, 0.7, 1.0))
    # Copies are numbered on over all sheets.
    begun = Counter(p.piece.name for sheet in filled for p in sheet.placements)
    whole = tuple(_numbered_on(sheet, begun) for sheet in rest.sheets)
    return Layout((*filled, *whole), stock)


def _numbered_on(sheet: Sheet, begun: Counter[str]) -> Sheet:
    moved = tuple(
        p if p.pinned else replace(p, copy=p.copy + begun[p.piece.name]) for p in sheet.placements
    )
    return replace(sheet, placements=moved)


def fill(
    pieces: Sequence[Piece],
    stock: Stock,
    offcuts: Sequence[Offcut],
    *,
    margin_mm: float = 5.0,
    gap_mm: float = 3.0,
    progress: Progress | None = None,
) -> tuple[tuple[Sheet, ...], list[Piece]]:
    """Return offcuts with as much area of pieces on them as was found, and what is left over.

    Parameters
    ----------
    pieces, stock, margin_mm, gap_mm, progress
        As of `lay_out`.
    offcuts
        What is to be filled.

    Raises
    ------
    SheetError
        If what was found does not keep its gaps: the bitmap is a help, not a proof.
    """
    room = tuple(max(o.size_mm[k] for o in offcuts) - 2.0 * margin_mm for k in (0, 1))
    if min(room) <= 0.0:
        return (), list(pieces)
    width, height = room
    cell = cell_size_mm(width, height)
    turned = [_turned(p, stock, cell, gap_mm, (width, height)) for p in pieces]
    areas = np.array([p.profile.area_mm2 for p in pieces])
    jobs = [i for i, p in enumerate(pieces) for _ in range(p.quantity) if turned[i]]
    rng = np.random.default_rng(0)
    best: list[list[tuple[int, Matrix]]] = [[] for _ in offcuts]
    most = 0.0
    for order in range(ORDERS):
        tell(progress, order / ORDERS, f"Filling offcuts, order {order + 1} of {ORDERS}")
        factor = np.exp(SHUFFLED * rng.normal(size=len(jobs))) if order else np.ones(len(jobs))
        first: list[int] = np.argsort(-areas[jobs] * factor, kind="stable").tolist()
        placed = _filled([jobs[k] for k in first], turned, offcuts, cell, margin_mm, gap_mm)
        area = float(sum(areas[i] for board in placed for i, _ in board))
        if area > most + 1e-9:
            best, most = placed, area
        if area >= float(areas[jobs].sum()) - 1e-9:
            break
    return _sheets(best, pieces, stock, offcuts, margin_mm, gap_mm)


def _turned(
    piece: Piece, stock: Stock, cell: float, gap_mm: float, room: tuple[float, float]
) -> list[Turned]:
    steps = 1 if not piece.can_turn else TURNS if stock.grain == "none" else 2
    even = [step * 2.0 * math.pi / steps for step in range(steps)]
    outline = piece.profile.polygon(LAYOUT_FLAT_MM)
    return turns(outline, cell, gap_mm / 2.0 + LAYOUT_FLAT_MM, room, even)


def _filled(
    jobs: Sequence[int],
    turned: Sequence[list[Turned]],
    offcuts: Sequence[Offcut],
    cell: float,
    margin_mm: float,
    gap_mm: float,
) -> list[list[tuple[int, Matrix]]]:
    """For every offcut which pieces lie on it and where, put down in the order given."""
    boards = [_board(offcut, cell, margin_mm, gap_mm) for offcut in offcuts]
    placed: list[list[tuple[int, Matrix]]] = [[] for _ in offcuts]
    for job in jobs:
        for board, lying in zip(boards, placed, strict=True):
            spot = board.best_spot(turned[job]) if board is not None else None
            if board is not None and spot is not None:
                matrix = board.put(*spot)
                matrix[:2, 2] += margin_mm
                lying.append((job, matrix))
                break
    return placed


def _board(offcut: Offcut, cell: float, margin_mm: float, gap_mm: float) -> Bitmap | None:
    """An empty offcut with all taken that is not it, or too near to its edge; None if too small."""
    width, height = (side - 2.0 * margin_mm for side in offcut.size_mm)
    if min(width, height) <= cell:
        return None
    board = Bitmap(width, height, cell)
    # A piece's cells reach half a gap around it, so they may reach as far over the margin's line.
    allowed = offcut.shape.polygon(LAYOUT_FLAT_MM).buffer(
        gap_mm / 2.0 + LAYOUT_FLAT_MM - margin_mm, join_style="mitre"
    )
    beyond = margin_mm + gap_mm + 4.0 * cell
    around = shapely.box(-beyond, -beyond, *(side + beyond for side in offcut.size_mm))
    board.keep_off(translate(around.difference(allowed), -margin_mm, -margin_mm))
    return board


def _sheets(
    placed: Sequence[Sequence[tuple[int, Matrix]]],
    pieces: Sequence[Piece],
    stock: Stock,
    offcuts: Sequence[Offcut],
    margin_mm: float,
    gap_mm: float,
) -> tuple[tuple[Sheet, ...], list[Piece]]:
    count: Counter[int] = Counter()
    sheets = []
    for lying, offcut in zip(placed, offcuts, strict=True):
        placements = []
        for i, matrix in lying:
            placements.append(Placement(pieces[i], count[i], matrix))
            count[i] += 1
        if placements:
            sheets.append(sheet_of(placements, stock, offcut.shape, offcut.name))
    assure(Layout(tuple(sheets), stock), margin_mm, gap_mm)
    left = [replace(p, quantity=p.quantity - count[i]) for i, p in enumerate(pieces)]
    return tuple(sheets), left


def leftovers_of(sheet: Sheet, stock: Stock, *, gap_mm: float = 3.0) -> tuple[Profile, ...]:
    """What is left of a sheet when its pieces are cut, as shapes to keep, the largest first.

    Pieces take their gap with them, and what lies in their holes is waste with them; tongues
    narrower than 30 mm are left off.

    Parameters
    ----------
    sheet, stock
        The sheet as it is laid.
    gap_mm
        Kept around the pieces.
    """
    whole = (
        sheet.shape.polygon(LAYOUT_FLAT_MM)
        if sheet.shape is not None
        else shapely.box(0.0, 0.0, *stock.sheet_mm)
    )
    taken = [Polygon(p.polygon().exterior).buffer(gap_mm) for p in sheet.placements]
    rest = whole.difference(united(taken))
    half = LEAST_LEFT_MM / 2.0
    opened = rest.buffer(-half - SIMPLE_MM).simplify(SIMPLE_MM).buffer(half, join_style="mitre")
    kept = [
        part
        for part in shapely.get_parts(opened.intersection(rest))
        if isinstance(part, Polygon) and part.area >= LEAST_LEFT_MM**2
    ]
    kept.sort(key=lambda part: -part.area)
    return tuple(Profile.from_polygon(part.simplify(0.01), 0.01) for part in kept)
