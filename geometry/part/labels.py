"""Names and pair letters on parts: where there is room for them, on the face asked for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from shapely import MultiLineString
from shapely.geometry.base import BaseGeometry

from ..arrays import Matrix, Point
from ..errors import PartError
from ..outline.curves import Profile, Segment
from ..tolerance import SHOWN_FLAT_MM
from .label_place import SMALLEST_LETTER_MM, place_label
from .lettering import letterable
from .marking import Mark, Side, engraved

__all__ = ["MIRROR", "Labelled", "label_part", "pair_letters"]

MIRROR: Matrix = np.diag([-1.0, 1.0, 1.0])
"""Turns a part over about its own y axis."""
CLEAR_MM = 0.6
"""Kept free round every line; common practice, no source."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Labelled:
    """Labels as they are engraved, each text with its strokes; and the texts that had no room."""

    labels: tuple[tuple[str, tuple[Mark, ...]], ...]
    left_out: tuple[str, ...]

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Every stroke of every label."""
        return tuple(mark for _, marks in self.labels for mark in marks)


def pair_letters(number: int) -> str:
    """Return the letters of a joint, counted from 0: A to Z, then AA, AB and so on."""
    letters = ""
    while True:
        letters = LETTERS[number % len(LETTERS)] + letters
        number = number // len(LETTERS) - 1
        if number < 0:
            return letters


def label_part(
    profile: Profile,
    name: str,
    letters: Sequence[tuple[str, Point]] = (),
    *,
    side: Side = "upper",
    kept: Iterable[Mark] = (),
    least_mm: float = SMALLEST_LETTER_MM,
) -> Labelled:
    """Return the labels of a part: pair letters beside their joints, then its name.

    Parameters
    ----------
    profile
        The part, in mm.
    name
        Lettered in capitals; empty for none.
    letters
        Each text with the place it belongs to.
    side
        The face to letter; on the lower one letters read right when the part is turned over.
    kept
        Marks that are on the part already; labels keep clear of those on the same face.
    least_mm
        Height of the smallest lettering.
    """
    over = side == "lower"
    seen = profile.transformed(MIRROR) if over else profile
    taken = [_around(m.segments, over) for m in kept if m.side == side]
    wanted: list[tuple[str, Point | None]] = [
        (text, (-x, y) if over else (x, y)) for text, (x, y) in letters
    ]
    if letterable(name):
        wanted.append((letterable(name), None))
    labels: list[tuple[str, tuple[Mark, ...]]] = []
    left_out = []
    for text, near in wanted:
        try:
            strokes = place_label(seen, text, near=near, taken=taken, least_mm=least_mm)
        except PartError:
            left_out.append(text)
            continue
        lettered = engraved(strokes, side)
        taken += [_around(m.segments, False) for m in lettered]
        placed = tuple(m.transformed(MIRROR) if over else m for m in lettered)
        labels.append((text, placed))
    return Labelled(tuple(labels), tuple(left_out))


def _around(segments: Sequence[Segment], over: bool) -> BaseGeometry:
    """What lies near a chain, turned over if asked."""
    moved = [s.transformed(MIRROR) if over else s for s in segments]
    lines = [[tuple(p) for p in s.flatten(SHOWN_FLAT_MM)] + [s.end] for s in moved]
    return MultiLineString(lines).buffer(CLEAR_MM)
