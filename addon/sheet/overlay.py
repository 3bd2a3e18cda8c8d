"""Signs over the sheets: what is wrong, and what is pinned, each with colour, shape and word."""

from dataclasses import dataclass
from itertools import pairwise

from ..blender.drawing import Colour, Drawing, Label, Place, Stroke
from ..blender.labels import LETTER_PX, LINE_PX, Box, overlap

__all__ = ["Name", "Sign", "names_drawing", "signs_drawing"]

# Okabe and Ito's palette, which people see apart whatever colours they see; the shape of the
# sign says the same again.
COLOURS: dict[str, Colour] = {
    "overlap": (0.84, 0.37, 0.00),
    "close": (0.90, 0.62, 0.00),
    "outside": (0.80, 0.47, 0.65),
    "pinned": (0.34, 0.71, 0.91),
}
SIZE_PX, TEXT_PX = 8.0, 13.0
MOST_WORDS = 60
"""Beyond this a viewport is full: signs stay, words go."""

Lines = tuple[tuple[Place, Place], ...]
Way = tuple[tuple[float, float], ...]

SHAPES: dict[str, tuple[Way, ...]] = {
    "overlap": (((-1, -1), (1, 1)), ((-1, 1), (1, -1))),
    "close": (((0, 1.2), (-1.1, -0.8), (1.1, -0.8), (0, 1.2)),),
    # A frame with something leaving it.
    "outside": (
        ((0.2, 1), (-1, 1), (-1, -1), (0.2, -1)),
        ((-0.4, 0), (1.2, 0)),
        ((0.7, 0.5), (1.2, 0), (0.7, -0.5)),
    ),
    # A drawing pin from the side.
    "pinned": (
        ((-0.6, 1.2), (0.6, 1.2)),
        ((-0.9, 0.1), (0.9, 0.1)),
        ((-0.4, 1.2), (-0.4, 0.1)),
        ((0.4, 1.2), (0.4, 0.1)),
        ((0, 0.1), (0, -1.3)),
    ),
}
"""Lines through corners, in sizes of a sign."""


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign on the viewport, in pixels; ``edges`` are loops of places joined in turn."""

    at: Place
    state: str
    text: str
    edges: tuple[tuple[Place, ...], ...] = ()


def signs_drawing(signs: list[Sign], ui_scale: float = 1.0) -> Drawing:
    """Draw a cross for an overlap, a triangle for too close, an arrow for outside, a pin."""
    strokes, labels = [], []
    for number, sign in enumerate(signs):
        colour = COLOURS[sign.state]
        strokes.append(Stroke(_shape(sign, SIZE_PX * ui_scale), colour, 2.0))
        for edge in sign.edges:
            lines = tuple(zip(edge, (*edge[1:], edge[0]), strict=True))
            strokes.append(Stroke(lines, colour, 1.5))
        if number < MOST_WORDS:
            x, y = sign.at
            place = (x + TEXT_PX * ui_scale, y - 4.0 * ui_scale)
            labels.append(Label(sign.text, place, colour))
    return Drawing(tuple(strokes), tuple(labels))


@dataclass(frozen=True, slots=True)
class Name:
    """Words in the middle of a box of the viewport: left, bottom, right, top in pixels.

    With a ``grain`` arrow from place to place drawn beside them.
    """

    text: str
    box: tuple[float, float, float, float]
    grain: tuple[Place, Place] | None = None


INK: Colour = (1.0, 1.0, 1.0)


def names_drawing(names: list[Name], ui_scale: float = 1.0) -> Drawing:
    """Write every name that its box has room for and that runs over no other; draw the grain."""
    taken: list[Box] = []
    labels, strokes = [], []
    for name in names:
        left, bottom, right, top = name.box
        wide, high = LETTER_PX * len(name.text) * ui_scale, LINE_PX * ui_scale
        at = ((left + right - wide) / 2.0, (bottom + top - high) / 2.0)
        box = (*at, at[0] + wide, at[1] + high)
        if wide <= right - left and not any(overlap(box, other) for other in taken):
            taken.append(box)
            labels.append(Label(name.text, at, INK))
        if name.grain is not None:
            strokes.append(Stroke(_arrow(*name.grain, SIZE_PX * ui_scale), INK, 1.5))
    return Drawing(tuple(strokes), tuple(labels))


def _arrow(start: Place, end: Place, size: float) -> Lines:
    """A line with a head at both ends, as grain is drawn: it has no direction."""
    lines = [(start, end)]
    for tip, other in ((start, end), (end, start)):
        dx, dy = other[0] - tip[0], other[1] - tip[1]
        length = max((dx * dx + dy * dy) ** 0.5, 1e-6)
        ux, uy = size * dx / length, size * dy / length
        lines += [
            (tip, (tip[0] + ux - 0.5 * uy, tip[1] + uy + 0.5 * ux)),
            (tip, (tip[0] + ux + 0.5 * uy, tip[1] + uy - 0.5 * ux)),
        ]
    return tuple(lines)


def _shape(sign: Sign, size: float) -> Lines:
    x, y = sign.at
    return tuple(
        ((x + size * a[0], y + size * a[1]), (x + size * b[0], y + size * b[1]))
        for way in SHAPES[sign.state]
        for a, b in pairwise(way)
    )
