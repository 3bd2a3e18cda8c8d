"""From parts to the pieces that are cut: relieved for round cutters, corrected for the kerf."""

from ..outline.profile import Profile
from ..part.kerf import compensate_kerf
from ..part.relief import relieve_corners
from ..part.stock import Stock
from .placement import Piece

__all__ = ["cut_piece"]

RELIEF_OVER_CUTTER = 1.05
"""A relief just as wide as the cutter leaves its path a single point; this, a short run."""


def cut_piece(
    profile: Profile, stock: Stock, quantity: int, name: str, *, correct_kerf: bool
) -> Piece:
    """Return the piece to lay out for a part.

    Raises
    ------
    PartError
        If the cutter cannot make the part, or a feature is smaller than the kerf.
    """
    if stock.process == "router":
        profile = relieve_corners(profile, RELIEF_OVER_CUTTER * stock.cutter_diameter_mm)
    if correct_kerf:
        profile = compensate_kerf(profile, stock.kerf_mm)
    return Piece(profile, quantity, name)
