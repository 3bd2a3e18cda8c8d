"""Round coordinates so that what is symmetric stays so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...arrays import Point
from ..drawing import Shape
from ..extent import extent_mm

__all__ = ["Rounding", "roundings"]


@dataclass(frozen=True, slots=True)
class Rounding:
    """Rounds points by how far they lie from a part's middle.

    Rounding each coordinate for itself moves the two sides of a part by different amounts wherever
    its axis lies between two steps. Distances from the axis are equal on both sides, so they round
    alike. The part's middle is rounded once, and all of the part moves by that.
    """

    center_mm: Point
    mm_per_unit: float
    digits: int

    def length(self, value_mm: float) -> float:
        """Length in the file's unit, rounded, of one in mm."""
        # First to three digits more: noise in the last bits must not decide what lies half-way.
        # Adding zero turns -0.0 into 0.0.
        return round(round(value_mm / self.mm_per_unit, self.digits + 3), self.digits) + 0.0

    def at(self, point: Point) -> Point:
        """Point in the file's unit, rounded, of one in mm."""
        (x, y), (cx, cy) = point, self.center_mm
        return (
            round(self.length(cx) + self.length(x - cx), self.digits) + 0.0,
            round(self.length(cy) + self.length(y - cy), self.digits) + 0.0,
        )


def roundings(
    shapes: Sequence[Shape], digits: int, mm_per_unit: float = 1.0
) -> tuple[Rounding, ...]:
    """Return how to round each shape: holes about the middle of the outside that follows them.

    Parameters
    ----------
    shapes
        In mm.
    digits
        Decimals that are written.
    mm_per_unit
        Millimetres in a unit of the file.
    """
    found: list[Rounding] = []
    waiting = 0
    for shape in shapes:
        x0, y0, x1, y1 = extent_mm(shape.segments)
        one = Rounding(((x0 + x1) / 2.0, (y0 + y1) / 2.0), mm_per_unit, digits)
        found.append(one)
        if shape.operation == "inside":
            waiting += 1
        elif shape.operation == "outside":
            found[len(found) - 1 - waiting :] = [one] * (waiting + 1)
            waiting = 0
        else:
            waiting = 0
    return tuple(found)
