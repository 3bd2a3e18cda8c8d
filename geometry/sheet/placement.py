"""Where each copy of each piece lies, on which sheet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import Polygon
from shapely.affinity import affine_transform

from ..arrays import Matrix, Point
from ..outline import Profile
from ..outline.curves import transform_points
from ..part.marking import Mark
from ..part.relief import Style
from ..part.stock import Stock
from ..tolerance import LAYOUT_FLAT_MM

__all__ = ["LAYOUT_FLAT_MM", "Layout", "Piece", "Placement", "Sheet"]


@dataclass(frozen=True, slots=True)
class Piece:
    """One shape to cut, how many of it, and whether it may be turned (grain says no).

    ``marks`` are lines not to cut through, such as lettering; they go where the piece goes.
    ``is_turned`` says that it is cut with its part's lower face up: it is drawn turned over.
    ``fits`` are corners that a joint has cut. ``relieved`` are the inside corners that a round
    cutter is to open, all of them if None, and ``relief`` the way it opens them. ``job`` is what it
    is cut for, where several jobs share the sheets.
    """

    profile: Profile
    quantity: int = 1
    name: str = ""
    can_turn: bool = True
    relieved: tuple[Point, ...] | None = None
    relief: Style = "corner"
    marks: tuple[Mark, ...] = ()
    is_turned: bool = False
    fits: tuple[Point, ...] = ()
    job: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Placement:
    """One copy of a piece; ``matrix`` (3×3) takes its profile onto the sheet, in mm.

    A ``pinned`` one stays where it is.
    """

    piece: Piece
    copy: int
    matrix: Matrix
    pinned: bool = False

    @property
    def profile(self) -> Profile:
        """The piece's profile where it lies; the sheet's lower left corner is (0, 0)."""
        return self.piece.profile.transformed(self.matrix)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The piece's marks where they lie."""
        return tuple(mark.transformed(self.matrix) for mark in self.piece.marks)

    @property
    def fits(self) -> tuple[Point, ...]:
        """The corners of the piece's fits where they lie."""
        places = np.array(self.piece.fits).reshape(-1, 2)
        return tuple((float(x), float(y)) for x, y in transform_points(self.matrix, places))

    def polygon(self, tolerance_mm: float = LAYOUT_FLAT_MM) -> Polygon:
        """The piece's polygon where it lies."""
        (a, b, x), (d, e, y), _ = self.matrix
        return affine_transform(self.piece.profile.polygon(tolerance_mm), (a, b, d, e, x, y))


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """One sheet; ``used`` is the share of its area that is pieces, 0..1.

    An offcut has a ``shape``, the lower left of its box at (0, 0), and a ``name``; without one it
    is a whole sheet of the stock.
    """

    placements: tuple[Placement, ...]
    used: float
    shape: Profile | None = None
    name: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """All sheets needed, of one stock."""

    sheets: tuple[Sheet, ...]
    stock: Stock
