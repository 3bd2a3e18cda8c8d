"""Sheet: pieces laid out on stock."""

from .layout import lay_out
from .lots import offcut_mm
from .overlap import Overlap, outside_sheet, overlaps, too_close
from .packing import tighten
from .placement import Layout, Piece, Placement, Sheet
from .resume import pinned_of, resumed

__all__ = [
    "Layout",
    "Overlap",
    "Piece",
    "Placement",
    "Sheet",
    "lay_out",
    "offcut_mm",
    "outside_sheet",
    "overlaps",
    "pinned_of",
    "resumed",
    "tighten",
    "too_close",
]
