"""From parts to the pieces that are cut: relieved for round cutters, corrected for the kerf."""

from collections.abc import Sequence
from dataclasses import replace

from ..arrays import Point
from ..outline.curves import Profile
from ..part.kerf import compensate_kerf
from ..part.labels import MIRROR
from ..part.marking import mirrored_marks
from ..part.relief import Style, relieve_corners
from ..part.stock import Stock
from .placement import Piece

__all__ = ["cut_of", "cut_piece", "turned_over"]

RELIEF_OVER_CUTTER = 1.05
"""How much wider reliefs are than the cutter.

One of just its diameter leaves the corrected path a single point there, which no file can hold.
Five per cent make it a half circle of 0.08 diameters, longer than the shortest segment that
machines take without stuttering (0.1 mm) for every cutter from 1.3 mm.
"""


def cut_piece(
    profile: Profile,
    stock: Stock,
    quantity: int,
    name: str,
    *,
    correct_kerf: bool,
    relieved: Sequence[Point] | None = None,
    style: Style = "corner",
) -> Piece:
    """Return the piece to lay out for a part.

    Parameters
    ----------
    correct_kerf
        Whether the path itself allows for the kerf. If not it stays nominal, for machines that
        correct by themselves; what their correction would swallow is refused all the same.
    relieved
        Inside corners that a router's cutter is to open, see `corners_of`; all if None.
    style
        Along the bisector or along a wall, see `relieve_corners`.

    Raises
    ------
    PartError
        If the cutter cannot make the part, or a feature is smaller than the kerf.
    """
    if stock.process == "router":
        profile = relieve_corners(
            profile, stock.cutter_diameter_mm, relieved, style=style, over=RELIEF_OVER_CUTTER
        )
    corrected = compensate_kerf(profile, stock.kerf_mm)
    return Piece(corrected if correct_kerf else profile, quantity, name)


def turned_over(piece: Piece) -> Piece:
    """Return the piece with its other face up, its outline and marks as seen from there."""
    relieved = piece.relieved
    return replace(
        piece,
        profile=piece.profile.transformed(MIRROR),
        relieved=None if relieved is None else tuple((-x, y) for x, y in relieved),
        marks=mirrored_marks(piece.marks, MIRROR),
        fits=tuple((-x, y) for x, y in piece.fits),
        is_turned=not piece.is_turned,
    )


def cut_of(piece: Piece, stock: Stock, *, correct_kerf: bool) -> Piece:
    """Return what is cut for a piece at finished size, with its own relief; see `cut_piece`.

    Parameters
    ----------
    piece
        At finished size.
    stock
        What it is cut from.
    correct_kerf
        Whether the kerf is given back here and not at the machine.
    """
    cut = cut_piece(
        piece.profile,
        stock,
        piece.quantity,
        piece.name,
        correct_kerf=correct_kerf,
        relieved=piece.relieved,
        style=piece.relief,
    )
    return replace(piece, profile=cut.profile)
