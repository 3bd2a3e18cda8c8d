"""Pieces as a strip packer sees them: outer boundaries, what lies in a hole taken along."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely import Polygon

from ..arrays import Matrix, Points
from ..outline import Line
from ..outline.curves import rotation_matrix
from ..part.stock import Stock
from .placement import Placement, Sheet
from .solver import PackedStrip

__all__ = ["ROUGH_MM", "Lot", "lots_of", "offcut_mm", "placed_by", "reach_mm", "widening_mm"]

ROUGH_MM = 0.05
"""Chord error of the outlines the packer sees; the gap is widened by as much on both sides."""
STEP_DEG = 15
MANY, COARSE_DEG = 60, 45
"""Of so many pieces the packer tries more places in the same time at fewer turns: on 200 random
pieces the strip became 2 % shorter than at turns of 15°."""


@dataclass(frozen=True, slots=True, eq=False)
class Lot:
    """A piece with what lies in its holes.

    ``outer`` (N, 2) is the boundary of the first placement's piece, in its own axes, so that copies
    are one to the packer however they lie; ``turns_deg`` are turns of these axes on the strip.
    """

    placements: tuple[Placement, ...]
    outer: Points
    area_mm2: float
    turns_deg: tuple[float, ...]


def is_upright(stock: Stock) -> bool:
    """Whether the sheet is higher than wide, so that its strip runs up."""
    return stock.sheet_mm[1] > stock.sheet_mm[0]


def lots_of(sheet: Sheet, stock: Stock) -> list[Lot]:
    """Return what moves by itself, each with what lies in its holes."""
    polygons = [p.polygon(ROUGH_MM) for p in sheet.placements]
    filled = [Polygon(p.exterior) for p in polygons]
    inside: dict[int, int] = {}
    for i, polygon in enumerate(polygons):
        around = [j for j in range(len(filled)) if j != i and filled[j].contains(polygon)]
        if around:
            # The outermost takes everything within along.
            inside[i] = max(around, key=lambda j: filled[j].area)
    lots = []
    for i in range(len(polygons)):
        if i in inside:
            continue
        members = [i, *(j for j, host in inside.items() if host == i)]
        placements = tuple(sheet.placements[j] for j in members)
        own = placements[0].piece.profile.polygon(ROUGH_MM)
        outer = np.asarray(own.exterior.coords)[:-1]
        step = STEP_DEG if len(polygons) < MANY else COARSE_DEG
        lots.append(Lot(placements, outer, filled[i].area, _turns(placements, stock, step)))
    return lots


def _turns(placements: Sequence[Placement], stock: Stock, step_deg: int) -> tuple[float, ...]:
    """Turns on the strip a lot may have: as it lies, and those that its stock lets it make."""
    matrix = placements[0].matrix
    lies = math.degrees(math.atan2(matrix[1, 0], matrix[0, 0])) - 90.0 * is_upright(stock)
    lies = round(lies, 6) % 360.0
    if not all(p.piece.can_turn for p in placements):
        return (lies,)
    if stock.grain != "none":
        return tuple(sorted((lies, (lies + 180.0) % 360.0)))
    even = {float(angle) for angle in range(0, 360, step_deg)}
    return tuple(sorted(even | {lies}))


def widening_mm(lots: Sequence[Lot]) -> float:
    """What the gap must be wider so that chords of curved edges eat none."""
    every = (p.piece.profile.outer for lot in lots for p in lot.placements)
    curved = any(not isinstance(s, Line) for loop in every for s in loop.segments)
    return 2.0 * ROUGH_MM if curved else 0.0


def placed_by(
    lots: Sequence[Lot], strip: PackedStrip, stock: Stock, margin_mm: float
) -> list[Placement]:
    """Return everything where the packer put it on the sheet.

    Parameters
    ----------
    lots
        What was packed.
    strip
        Where each of it was put.
    stock
        Whose sheet it lies on, upright or not.
    margin_mm
        Kept free at the edge of the sheet.
    """
    onto: Matrix = np.eye(3)
    if is_upright(stock):
        onto = np.array([[0.0, -1.0, stock.sheet_mm[0]], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    placed = []
    for number, turn_deg, x, y in strip.placed:
        matrix: Matrix = np.round(rotation_matrix(math.radians(turn_deg)), 15)
        matrix[:2, 2] = (x + margin_mm, y + margin_mm)
        first, *inside = lots[number].placements
        lies = onto @ matrix
        placed.append(replace(first, matrix=lies))
        taken = lies @ np.linalg.inv(first.matrix)
        placed += [replace(p, matrix=taken @ p.matrix) for p in inside]
    return placed


def reach_mm(sheet: Sheet, stock: Stock) -> float:
    """Return how far along its longer side the sheet is used."""
    upper = 3 if is_upright(stock) else 2
    return max((p.polygon(ROUGH_MM).bounds[upper] for p in sheet.placements), default=0.0)


def offcut_mm(sheet: Sheet, stock: Stock, gap_mm: float) -> tuple[float, float]:
    """Return the (longer, shorter) side of the rectangle left at the far end of a sheet.

    Parameters
    ----------
    sheet
        As laid out.
    stock
        What it is cut from.
    gap_mm
        Kept between the pieces and what is left.
    """
    length, across = max(stock.sheet_mm), min(stock.sheet_mm)
    left = max(length - reach_mm(sheet, stock) - gap_mm, 0.0)
    return max(left, across), min(left, across)
