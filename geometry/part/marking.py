"""Marks: lines on a part that are engraved, scored, or cut through without cutting it apart."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from ..arrays import Matrix
from ..outline.curves import Segment

__all__ = ["Mark", "Purpose", "Side", "engraved", "mirrored_marks", "opposite"]

Purpose = Literal["mark", "score", "cut"]
"""A "mark" is engraved, a "score" cut part way in, to bend or to see; a "cut" is an open line that
goes through, such as a slit."""
Side = Literal["upper", "lower"]
"""Faces of a part, by the z axis of its own plane."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A chain of segments on one face of a part, in mm in the part's own x, y.

    What is on the lower face is given as seen through the part from above.
    """

    segments: tuple[Segment, ...]
    purpose: Purpose = "mark"
    side: Side = "upper"

    @property
    def length_mm(self) -> float:
        """Length of the chain, mm."""
        return math.fsum(s.length_mm for s in self.segments)

    def transformed(self, matrix: Matrix) -> Mark:
        """Return the mark moved by a 3×3 rigid move, on the same face."""
        return replace(self, segments=tuple(s.transformed(matrix) for s in self.segments))


def engraved(chains: Iterable[Sequence[Segment]], side: Side = "upper") -> tuple[Mark, ...]:
    """Return chains, such as lettering, as marks to engrave on a face."""
    return tuple(Mark(tuple(chain), "mark", side) for chain in chains)


def mirrored_marks(marks: Iterable[Mark], mirror: Matrix) -> tuple[Mark, ...]:
    """Return the marks of a part that is turned over: its upper face becomes its lower one."""
    return tuple(replace(m.transformed(mirror), side=opposite(m.side)) for m in marks)


def opposite(side: Side) -> Side:
    """The other face of a sheet: "lower" of "upper", and the other way round."""
    return "lower" if side == "upper" else "upper"
