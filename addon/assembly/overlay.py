"""What the last check found, written at the geometry: gaps as numbers, trouble with a sign."""

import math
from dataclasses import dataclass

from ..blender.drawing import Colour, Drawing, Label, Place, Stroke
from ..blender.labels import Box, free_place

__all__ = ["Sign", "sign_at", "signs_drawing"]

# Okabe and Ito's palette, which people see apart whatever colours they see; the shape of the
# sign says the same again.
COLOURS: dict[str, Colour] = {
    "clear": (0.00, 0.62, 0.45),
    "close": (0.90, 0.62, 0.00),
    "overlap": (0.84, 0.37, 0.00),
}
HOVERED: Colour = (1.0, 1.0, 1.0)
SIZE_PX = 7.0
REACH_PX = 11.0
"""The mouse is on a sign within so much of its middle: half as far again as it is large."""
MOST = 80
"""So many numbers fit a viewport; beyond that only what is not clear is written."""


@dataclass(frozen=True, slots=True)
class Sign:
    """One finding on the viewport: its place in pixels, what it is, and a number or word.

    ``around`` are places of the part's edge, joined in turn; ``far`` is how far it is from the eye.
    ``whole`` is said while the mouse rests on it, ``things`` are the objects it is about.
    """

    at: Place
    state: str
    text: str
    around: tuple[Place, ...] = ()
    far: float = 0.0
    whole: str = ""
    things: tuple[str, ...] = ()


def sign_at(signs: list[Sign], at: Place, ui_scale: float = 1.0) -> int | None:
    """Which sign the mouse rests on: the nearest one within reach, or none.

    Parameters
    ----------
    signs, at
        All signs of the viewport, and the mouse, px.
    ui_scale
        How large the interface is drawn.
    """
    away = [math.dist(sign.at, at) for sign in signs]
    nearest = min(range(len(signs)), key=away.__getitem__, default=None)
    if nearest is None or away[nearest] > REACH_PX * ui_scale:
        return None
    return nearest


def signs_drawing(signs: list[Sign], ui_scale: float = 1.0, hovered: int | None = None) -> Drawing:
    """Draw a ring where a gap is kept, a triangle where it is too small, a cross for an overlap.

    Parameters
    ----------
    signs, ui_scale
        What is shown, and how large the interface is drawn.
    hovered
        Number of the sign under the mouse: it says all it has to say, over whatever lies there.
    """
    shown = signs if len(signs) <= MOST else [sign for sign in signs if sign.state != "clear"]
    strokes, labels = [], []
    taken: list[Box] = []
    rested = signs[hovered] if hovered is not None and hovered < len(signs) else None
    if rested is not None:
        at = free_place(rested.whole, rested.at, taken, ui_scale, must=True) or rested.at
        labels.append(Label(rested.whole, at, HOVERED))
    # Trouble is written first and what is near before what is far; where there is no room left,
    # the sign alone has to do.
    for sign in sorted(shown, key=lambda sign: (sign.state == "clear", sign.far)):
        colour = COLOURS[sign.state]
        lines = _SHAPES[sign.state](sign.at, SIZE_PX * ui_scale)
        strokes.append(Stroke(tuple(lines), colour, 2.0))
        if sign.state != "clear" and len(sign.around) > 1:
            edge = tuple(zip(sign.around, (*sign.around[1:], sign.around[0]), strict=True))
            strokes.append(Stroke(edge, colour, 1.5))
        at = free_place(sign.text, sign.at, taken, ui_scale) if sign is not rested else None
        if at is not None:
            labels.append(Label(sign.text, at, colour))
    return Drawing(tuple(strokes), tuple(labels))


Lines = list[tuple[Place, Place]]


def _ring(at: Place, size: float) -> Lines:
    return _closed(
        at, size, [(1, 0), (0.5, 0.87), (-0.5, 0.87), (-1, 0), (-0.5, -0.87), (0.5, -0.87)]
    )


def _triangle(at: Place, size: float) -> Lines:
    return _closed(at, size, [(0, 1.2), (-1.1, -0.8), (1.1, -0.8)])


def _cross(at: Place, size: float) -> Lines:
    x, y = at
    return [
        ((x - size, y - size), (x + size, y + size)),
        ((x - size, y + size), (x + size, y - size)),
    ]


def _closed(at: Place, size: float, corners: list[tuple[float, float]]) -> Lines:
    x, y = at
    places = [(x + size * dx, y + size * dy) for dx, dy in corners]
    return list(zip(places, places[1:] + places[:1], strict=True))


_SHAPES = {"clear": _ring, "close": _triangle, "overlap": _cross}
