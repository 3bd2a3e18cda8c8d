"""Layouts partly on odd offcuts, improved: nothing overlaps, nothing lies outside, offcuts stay."""

from collections import Counter

import pytest
import shapely

from geometry.outline import Profile, circle, rectangle, regular_polygon, ring
from geometry.part import Stock
from geometry.sheet import Offcut, Piece, lay_out_on, outside_sheet, tighten, too_close
from geometry.sheet.lots import reach_mm


def odd_offcuts():
    """Leftovers as a saw leaves them: slanted, and with a hole."""
    slanted = shapely.Polygon([(0, 0), (210, 8), (190, 118), (96, 150), (5, 92)])
    holed = shapely.Polygon([(0, 10), (160, 0), (170, 130), (40, 138)]) - shapely.Point(
        95, 62
    ).buffer(31)
    shapes = (("Slanted", slanted), ("Holed", holed))
    return [Offcut.of(name, Profile.from_polygon(shape, 0.05)) for name, shape in shapes]


def check_whole(layout, pieces):
    """Everything wanted lies once, on its sheet or offcut, and off everything else."""
    counted = Counter(p.piece.name for s in layout.sheets for p in s.placements)
    assert counted == {piece.name: piece.quantity for piece in pieces}
    assert too_close(layout, 3.0 - 0.02) == ()
    assert outside_sheet(layout, 5.0 - 0.02) == ()
    for sheet in layout.sheets:
        whole = shapely.box(0.0, 0.0, *layout.stock.sheet_mm)
        shape = whole if sheet.shape is None else sheet.shape.polygon(0.01)
        placed = [p.polygon(0.01) for p in sheet.placements]
        # Measured by shapely alone.
        assert all(shape.buffer(-4.9).covers(p) for p in placed)
        assert sum(p.area for p in placed) == pytest.approx(shapely.union_all(placed).area)


def test_improving_leaves_odd_offcuts_and_what_lies_on_them_as_they_are():
    stock = Stock("Ply", 3.0, 0.2, sheet_mm=(400.0, 300.0))
    pieces = [
        Piece(rectangle(92.0, 34.0), 9, "Shelf"),
        Piece(regular_polygon(6, 44.0), 9, "Hexagon"),
        Piece(ring(58.0, 30.0), 6, "Ring"),
        Piece(circle(22.0), 8, "Disc"),
    ]
    first = lay_out_on(pieces, stock, odd_offcuts(), margin_mm=5.0, gap_mm=3.0)
    assert [bool(s.shape) for s in first.sheets][:3] == [True, True, False]
    seen = []
    best = tighten(first, margin_mm=5.0, gap_mm=3.0, budget_s=3.0, better=seen.append)
    for layout in (first, *seen, best):
        check_whole(layout, pieces)
        assert layout.sheets[:2] == first.sheets[:2]
    assert reach_mm(best.sheets[-1], stock) <= reach_mm(first.sheets[-1], stock)


def test_where_all_lies_on_offcuts_there_is_nothing_to_improve():
    stock = Stock("Ply", 3.0, 0.2, sheet_mm=(400.0, 300.0))
    pieces = [Piece(regular_polygon(6, 44.0), 2, "Hexagon")]
    first = lay_out_on(pieces, stock, odd_offcuts(), margin_mm=5.0, gap_mm=3.0)
    assert all(sheet.shape is not None for sheet in first.sheets)
    assert tighten(first, margin_mm=5.0, gap_mm=3.0, budget_s=1.0) is first
