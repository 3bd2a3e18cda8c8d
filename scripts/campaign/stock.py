"""What parts are made of, drawn at random: foam core, cardboard, card, and cards with print."""

import colorsys
from dataclasses import dataclass, replace

import numpy as np
import shapely

from .design import Board, Color, Part
from .shapes import FAMILIES, hand_cut, shape_of, split

__all__ = ["STOCKS", "Stock", "parts_for", "printed_card"]

Rng = np.random.Generator
PAPER_MM = 0.4
"""Paper faces of foam core; common practice, no source."""
LEAST_GAP_MM, MOST_GAP_MM = 0.03, 0.15
"""Between parts that touch: what two knife-cut edges leave; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Stock:
    """A kind of sheet: its face's and core's colour, thicknesses, whether it has paper faces."""

    name: str
    face: Color
    core: Color
    thick_mm: tuple[float, ...]
    has_paper: bool = False


STOCKS = (
    Stock("foam core", (0.93, 0.93, 0.91), (0.83, 0.83, 0.82), (3.0, 5.0, 10.0), True),
    Stock("foam core, dark foam", (0.93, 0.93, 0.91), (0.20, 0.20, 0.21), (3.0, 5.0), True),
    Stock("black foam", (0.10, 0.10, 0.105), (0.07, 0.07, 0.075), (3.0, 5.0, 10.0), True),
    Stock("kraft", (0.68, 0.51, 0.35), (0.55, 0.40, 0.26), (1.5, 3.0, 4.0)),
    Stock("grey board", (0.58, 0.57, 0.54), (0.50, 0.49, 0.46), (1.0, 2.0, 3.0)),
    Stock("card", (0.9, 0.9, 0.88), (0.85, 0.85, 0.83), (0.3, 0.5, 0.8)),
    Stock("coloured card", (0.7, 0.2, 0.2), (0.6, 0.2, 0.2), (0.3, 0.5, 1.0)),
    Stock("wood board", (0.74, 0.60, 0.42), (0.52, 0.39, 0.25), (3.0, 6.0, 12.0)),
)
MARKINGS = ("clean", "clean", "clean", "pencil", "pencil", "marker", "tape", "print")


def parts_for(board: Board, rng: Rng) -> list[list[Part]]:
    """Return one to four parts in groups; those of a group of two touch along a cut."""
    count = int(rng.choice([1, 2, 2, 3, 3, 4]))
    groups: list[list[Part]] = []
    families = rng.permutation(list(FAMILIES))
    for k in range(count):
        part = _part(str(families[k]), _stock(board, rng, is_first=k == 0), rng)
        is_pair = part.name not in ("gear", "ring", "comb") and rng.random() < 0.18
        groups.append(_touching(part, rng) if is_pair else [part])
    return groups


def printed_card(marking: str, rng: Rng) -> list[Part]:
    """Return one rectangular card with round or sharp corners and print all over it."""
    wide, high = rng.uniform(70.0, 150.0), rng.uniform(50.0, 95.0)
    shape = shapely.box(-wide / 2, -high / 2, wide / 2, high / 2)
    if rng.random() < 0.5:
        shape = shape.buffer(-3.0).buffer(3.0, quad_segs=40)
    grey = rng.uniform(0.08, 0.2)
    dark = tuple(float(v) for v in grey * rng.uniform(0.6, 1.5, 3))
    face: Color = dark if marking == "print dark" else (0.94, 0.93, 0.9)  # type: ignore[assignment]
    thick = float(rng.choice([0.3, 0.5, 1.5]))
    return [Part("card", shape, thick, "printed card", face, ((face, 1.0),), marking)]


def _stock(board: Board, rng: Rng, *, is_first: bool) -> Stock:
    """Return a stock; the first part is often one that hardly differs from the board."""
    if is_first and min(board.color) > 0.6 and board.glow == 0.0:
        return STOCKS[int(rng.choice([0, 1, 5]))]
    if is_first and rng.random() < 0.35:
        own = _times(board.color, float(rng.choice([0.75, 0.9, 1.15, 1.3])))
        return Stock("card of the board's colour", own, own, (0.5, 1.0, 3.0))
    stock = STOCKS[int(rng.integers(len(STOCKS)))]
    if stock.name != "coloured card":
        return stock
    hue = colorsys.hsv_to_rgb(rng.random(), rng.uniform(0.3, 0.85), rng.uniform(0.3, 0.9))
    return replace(stock, face=hue, core=hue)


def _part(family: str, stock: Stock, rng: Rng) -> Part:
    shape = shape_of(family, rng)
    if rng.random() < 0.35:
        shape = hand_cut(shape, rng, rng.uniform(0.08, 0.3))
    thick = float(rng.choice(stock.thick_mm))
    face = _times(stock.face, rng.uniform(0.94, 1.04))
    marking = str(rng.choice(MARKINGS))
    return Part(family, shape, thick, stock.name, face, _bands(stock, face, thick), marking)


def _bands(stock: Stock, face: Color, thick: float) -> tuple[tuple[Color, float], ...]:
    if not stock.has_paper:
        return ((stock.core, 1.0),)
    paper = PAPER_MM / thick
    edge = _times(face, 0.9)
    return ((edge, paper), (stock.core, 1.0 - 2.0 * paper), (edge, paper))


def _times(color: Color, factor: float) -> Color:
    r, g, b = (float(np.clip(value * factor, 0.0, 0.97)) for value in color)
    return r, g, b


def _touching(part: Part, rng: Rng) -> list[Part]:
    """Return the part cut in two along a line, its halves pushed together again."""
    halves = split(part.shape, rng, rng.uniform(LEAST_GAP_MM, MOST_GAP_MM))
    return [
        Part(f"{part.name} {side}", half, part.thick_mm, part.stock, part.face, part.bands,
             part.marking if side == "a" else "clean", is_touching=True)
        for side, half in zip("ab", halves, strict=True)
    ]  # fmt: skip
