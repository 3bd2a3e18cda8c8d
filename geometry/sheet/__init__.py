"""Sheet: pieces laid out on stock.

Examples
--------
Four plates on a sheet, cut apart by a gap:

>>> from geometry.outline import rectangle
>>> from geometry.part import Stock
>>> from geometry.sheet import Piece, lay_out, too_close
>>> plywood = Stock("Plywood", thickness_mm=3.0, kerf_mm=0.2, sheet_mm=(300.0, 200.0))
>>> layout = lay_out([Piece(rectangle(80.0, 50.0), name="Plate", quantity=4)], plywood, gap_mm=2.0)
>>> len(layout.sheets), len(layout.sheets[0].placements)
(1, 4)
>>> too_close(layout, 1.9)
()
"""

from .layout import lay_out
from .lots import offcut_mm
from .offcuts import Offcut, fill, lay_out_on, leftovers_of
from .overlap import Overlap, outside_sheet, overlaps, too_close
from .packing import tighten
from .placement import Layout, Piece, Placement, Sheet
from .resume import pinned_of, resumed

__all__ = [
    "Layout",
    "Offcut",
    "Overlap",
    "Piece",
    "Placement",
    "Sheet",
    "fill",
    "lay_out",
    "lay_out_on",
    "leftovers_of",
    "offcut_mm",
    "outside_sheet",
    "overlaps",
    "pinned_of",
    "resumed",
    "tighten",
    "too_close",
]
