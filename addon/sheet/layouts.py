"""From the scene's parts to their layouts, new ones or better ones."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypedDict

import bpy

from ...geometry.errors import SheetError
from ...geometry.part import Stock
from ...geometry.progress import Progress, stage
from ...geometry.sheet import Layout, Offcut, Piece, lay_out_on, pinned_of, resumed, tighten
from ...geometry.sheet.pieces import cut_of
from ..part.part_objects import stock_named
from ..state.things import parts_to_cut
from ..state.work import Work
from .finished import finished_pieces
from .laid import lying
from .offcuts import offcuts_of

__all__ = ["improving", "laying"]


def laying(context: bpy.types.Context) -> Work:
    """Return the work of laying out every part on its stock, around what is pinned.

    Raises
    ------
    FlatwrightError
        If there is no part, or none whose stock is in the scene.
    """
    wanted, ways = _wanted(context), _ways(context)
    correct = context.scene.flatwright_layout.correct_kerf
    before, offcuts = lying(context), _offcuts(context, wanted)

    def work(progress: Progress) -> list[Layout]:
        layouts = []
        for i, (stock, finished) in enumerate(wanted):
            share = stage(progress, i / len(wanted), (i + 1) / len(wanted))
            pieces = [cut_of(piece, stock, correct_kerf=correct) for piece in finished]
            layouts.append(
                _anew(pieces, stock, before.get(stock.name), offcuts[stock.name], ways, share)
            )
        return layouts

    return work


def improving(
    context: bpy.types.Context, shown: Callable[[list[Layout]], None] = lambda _: None
) -> Work:
    """Return the work of finding better layouts than the ones in the scene.

    It begins with what lies there, where that is all that is wanted and nothing is in the way of
    anything; else it lays out anew. ``shown`` gets all layouts whenever one has changed. The result
    is the layouts, or None if what lies in the scene is the best that was found.

    Raises
    ------
    FlatwrightError
        If there is no part, or none whose stock is in the scene.
    """
    wanted, ways = _wanted(context), _ways(context)
    settings = context.scene.flatwright_layout
    correct, seconds, seed = settings.correct_kerf, settings.seconds, settings.seed
    before, offcuts = lying(context), _offcuts(context, wanted)

    def work(progress: Progress) -> list[Layout] | None:
        first = stage(progress, 0.0, 0.1) or progress
        layouts, is_new = [], set(before) != {stock.name for stock, _ in wanted}
        for stock, finished in wanted:
            pieces = [cut_of(piece, stock, correct_kerf=correct) for piece in finished]
            known = before.get(stock.name)
            start = known and resumed(replace(known, stock=stock), pieces, **ways)
            is_new = is_new or start is None
            layouts.append(start or _anew(pieces, stock, known, offcuts[stock.name], ways, first))
        if is_new:
            shown(list(layouts))
        for i in range(len(layouts)):

            def better(layout: Layout, place: int = i) -> None:
                nonlocal is_new
                is_new = True
                layouts[place] = layout
                shown(list(layouts))

            start, end = (0.1 + 0.9 * n / len(layouts) for n in (i, i + 1))
            layouts[i] = tighten(
                layouts[i],
                **ways,
                budget_s=seconds / len(layouts),
                seed=seed,
                better=better,
                progress=stage(progress, start, end),
            )
        return layouts if is_new else None

    return work


class _Ways(TypedDict):
    margin_mm: float
    gap_mm: float


def _ways(context: bpy.types.Context) -> _Ways:
    settings = context.scene.flatwright_layout
    return {"margin_mm": round(settings.margin_mm, 4), "gap_mm": round(settings.gap_mm, 4)}


def _wanted(context: bpy.types.Context) -> list[tuple[Stock, list[Piece]]]:
    wanted = finished_pieces(context)
    for thing in [] if wanted else parts_to_cut(context):
        # It says which stock is missing.
        stock_named(context.scene, thing.flatwright_part.stock)
    if not wanted:
        raise SheetError("There is no part to lay out. Press Make Part first.")
    return [(one.stock, one.pieces) for one in wanted]


def _offcuts(
    context: bpy.types.Context, wanted: Sequence[tuple[Stock, Sequence[Piece]]]
) -> dict[str, list[Offcut]]:
    """Leftover sheets to be filled, by the name of their stock."""
    return {stock.name: offcuts_of(context.scene, stock.name) for stock, _ in wanted}


def _anew(
    pieces: Sequence[Piece],
    stock: Stock,
    before: Layout | None,
    offcuts: Sequence[Offcut],
    ways: _Ways,
    progress: Progress | None,
) -> Layout:
    # What lies on offcuts is laid anew: which of them takes what is decided together.
    sheets = tuple(s for s in before.sheets if s.shape is None) if before is not None else ()
    pinned, left = pinned_of(Layout(sheets, stock), pieces)
    return lay_out_on(left, stock, offcuts, **ways, pinned=pinned, progress=progress)
