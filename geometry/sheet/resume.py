"""Go on from a layout as it lies: what of it still holds, and what is pinned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ..outline import Profile
from ..tolerance import LAYOUT_FLAT_MM, SAME_PLACE_MM
from .layout import sheet_of
from .overlap import outside_sheet, too_close
from .placement import Layout, Piece, Placement

__all__ = ["SLACK_MM", "holds", "pinned_of", "resumed"]

SLACK_MM = 2.0 * LAYOUT_FLAT_MM + 0.005
"""A gap smaller by no more than this is kept: it was laid with chords, and kept in Blender."""


def holds(layout: Layout, *, margin_mm: float, gap_mm: float) -> bool:
    """Whether all pieces lie on their sheets and keep their gaps.

    Parameters
    ----------
    layout
        As it lies.
    margin_mm
        To be free at the edges of sheets.
    gap_mm
        To be free between pieces.
    """
    return not (too_close(layout, gap_mm - SLACK_MM) or outside_sheet(layout, margin_mm - SLACK_MM))


def resumed(
    lying: Layout, pieces: Sequence[Piece], *, margin_mm: float, gap_mm: float
) -> Layout | None:
    """Return the layout as it lies, if it is one of exactly these pieces and holds.

    Parameters
    ----------
    lying
        Its pieces are known by their names; its stock is the one to lay on.
    pieces
        What is wanted now, each name once.
    """
    known = {piece.name: piece for piece in pieces if piece.quantity}
    everything = [p for sheet in lying.sheets for p in sheet.placements]
    counted = Counter(p.piece.name for p in everything)
    if counted != Counter({name: piece.quantity for name, piece in known.items()}):
        return None
    if not all(_same(p.piece.profile, known[p.piece.name].profile) for p in everything):
        return None
    sheets = tuple(
        sheet_of(
            [replace(p, piece=known[p.piece.name]) for p in sheet.placements],
            lying.stock,
            sheet.shape,
            sheet.name,
        )
        for sheet in lying.sheets
        if sheet.placements
    )
    whole = sum(sheet.shape is None for sheet in sheets)
    if lying.stock.sheets and whole > lying.stock.sheets:
        return None
    layout = Layout(sheets, lying.stock)
    return layout if holds(layout, margin_mm=margin_mm, gap_mm=gap_mm) else None


def pinned_of(
    lying: Layout | None, pieces: Sequence[Piece]
) -> tuple[list[tuple[int, Placement]], list[Piece]]:
    """Return what is pinned, with its sheet's number from 0, and what is left to lay out.

    A pinned piece whose part has changed lies where it lay, in its new shape; one that is not
    wanted any more is dropped.
    """
    left = {piece.name: piece for piece in pieces}
    pinned = []
    for number, sheet in enumerate(lying.sheets if lying is not None else ()):
        for placement in sheet.placements:
            piece = left.get(placement.piece.name)
            if placement.pinned and piece is not None and piece.quantity > 0:
                pinned.append((number, replace(placement, piece=piece)))
                left[piece.name] = replace(piece, quantity=piece.quantity - 1)
    return pinned, list(left.values())


def _same(a: Profile, b: Profile) -> bool:
    boxes = np.subtract(a.bounds_mm, b.bounds_mm)
    return bool(
        np.abs(boxes).max() < SAME_PLACE_MM
        and len(a.holes) == len(b.holes)
        and abs(a.area_mm2 - b.area_mm2) < SAME_PLACE_MM * a.polygon(LAYOUT_FLAT_MM).length
    )
