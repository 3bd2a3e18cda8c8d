"""The symmetry groups of flat shapes about a point: turns, with or without mirror images.

A cyclic group of order n holds n turns; the dihedral group of order n holds these and n mirror
images. A mere mirror image is the dihedral group of order one, no symmetry the cyclic group of
order one. Groups stand about the origin, with the x axis as their first mirror axis.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ...arrays import FloatArray, Matrix, Point
from ..curves import move_matrix, rotation_matrix

__all__ = ["Kind", "SymmetryGroup"]

Kind = Literal["mirror", "rotational", "dihedral"]

FLIP = np.diag([1.0, -1.0, 1.0])
"""Mirror image in the x axis, exact in floating point."""
DECIMALS = 15
"""Cosines are rounded to this many, so that quarter turns are exact in floating point."""


@dataclass(frozen=True, slots=True)
class SymmetryGroup:
    """``order`` turns about the origin, doubled by mirror images where it ``mirrors``."""

    order: int
    mirrors: bool

    @classmethod
    def of_kind(cls, kind: Kind, order: int) -> "SymmetryGroup":
        """Return the group of a kind of symmetry; a mirror has no order."""
        return cls(1 if kind == "mirror" else order, kind != "rotational")

    @property
    def is_trivial(self) -> bool:
        """Whether it has no element but the identity."""
        return self.order == 1 and not self.mirrors

    @property
    def turns(self) -> tuple[Matrix, ...]:
        """3×3 turns, counter-clockwise, the identity first."""
        return tuple(_turn(2.0 * math.pi * k / self.order) for k in range(self.order))

    @property
    def elements(self) -> tuple[Matrix, ...]:
        """3×3 matrices of all elements: the turns, then each turn of the mirror image."""
        turns = self.turns
        return (*turns, *(turn @ FLIP for turn in turns)) if self.mirrors else turns

    @property
    def wedge_rad(self) -> float:
        """Angle of the fundamental wedge, which the elements copy all round."""
        return (math.pi if self.mirrors else 2.0 * math.pi) / self.order

    @property
    def wedge_turn(self) -> Matrix:
        """3×3 turn from the first side of the fundamental wedge, the x axis, to the second."""
        return _turn(self.wedge_rad)

    @property
    def second_mirror(self) -> Matrix:
        """3×3 mirror image in the second side of a dihedral group's wedge."""
        return _turn(2.0 * math.pi / self.order) @ FLIP

    def elements_about(self, center: Point, angle_rad: float) -> tuple[Matrix, ...]:
        """Return the elements about a point (mm), the first mirror axis at an angle."""
        there = move_matrix(*center) @ rotation_matrix(angle_rad)
        back = np.linalg.inv(there)
        return tuple(there @ element @ back for element in self.elements)

    def fixed_place(self, place: FloatArray) -> Point:
        """Return the place (mm) nearest to another that every element leaves where it is."""
        if self.order > 1:
            return (0.0, 0.0)
        return (float(place[0]), 0.0 if self.mirrors else float(place[1]))


def _turn(angle_rad: float) -> Matrix:
    return np.round(rotation_matrix(angle_rad), DECIMALS)
