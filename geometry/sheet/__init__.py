"""Sheet: pieces laid out on stock."""

from .layout import lay_out
from .overlap import Overlap, outside_sheet, overlaps, too_close
from .placement import Layout, Piece, Placement, Sheet

__all__ = [
    "Layout",
    "Overlap",
    "Piece",
    "Placement",
    "Sheet",
    "lay_out",
    "outside_sheet",
    "overlaps",
    "too_close",
]
