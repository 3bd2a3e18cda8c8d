"""Going on from a layout as it lies: by hand, with pins."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.errors import SheetError
from geometry.outline import Loop, Profile
from geometry.part.stock import Stock
from geometry.sheet import (
    Layout,
    Piece,
    Placement,
    Sheet,
    lay_out,
    outside_sheet,
    pinned_of,
    resumed,
    tighten,
    too_close,
)

PLY = Stock("3 mm plywood", 2.9, 0.18, "laser", 0.0, (600.0, 400.0))
SQUARE = Piece(Profile(Loop.through([(0, 0), (100, 0), (100, 100), (0, 100)])), 2, "square")
WAYS = {"margin_mm": 5.0, "gap_mm": 3.0}


def at(x, y, *, piece=SQUARE, pinned=False):
    matrix = np.eye(3)
    matrix[:2, 2] = (x, y)
    return Placement(piece, 0, matrix, pinned)


def on(*placements):
    return Layout((Sheet(placements, 0.0),), PLY)


def corners(layout):
    return [tuple(p.matrix[:2, 2]) for s in layout.sheets for p in s.placements]


def test_nudged_pieces_stay_where_they_hold():
    found = resumed(on(at(7.0, 9.0), at(300.0, 200.0)), [SQUARE], **WAYS)
    assert corners(found) == [(7.0, 9.0), (300.0, 200.0)]
    # 2 × 100 × 100 of 600 × 400 mm.
    assert found.sheets[0].used == pytest.approx(1.0 / 12.0, abs=1e-12)


@pytest.mark.parametrize(
    "second",
    [
        pytest.param((50.0, 50.0), id="overlaps"),
        pytest.param((108.0, 5.0), id="within the gap of 3 mm, 2.9 mm beside"),
        pytest.param((497.0, 5.0), id="within the margin of 5 mm"),
        pytest.param((900.0, 5.0), id="beside the sheet"),
    ],
)
def test_what_does_not_hold_is_not_gone_on_from(second):
    first = (5.1, 5.0) if second == (108.0, 5.0) else (5.0, 5.0)
    assert resumed(on(at(*first), at(*second)), [SQUARE], **WAYS) is None


@pytest.mark.parametrize(
    "wanted",
    [
        pytest.param([replace(SQUARE, quantity=3)], id="more of it"),
        pytest.param([replace(SQUARE, name="other")], id="another name"),
        pytest.param([SQUARE, replace(SQUARE, name="other")], id="one more"),
        pytest.param(
            [replace(SQUARE, profile=Profile(Loop.circle((50.0, 50.0), 50.0)))], id="another shape"
        ),
    ],
)
def test_changed_wishes_are_laid_out_anew(wanted):
    assert resumed(on(at(5.0, 5.0), at(200.0, 5.0)), wanted, **WAYS) is None


def test_pinned_pieces_are_laid_around():
    pinned, left = pinned_of(on(at(250.0, 150.0, pinned=True), at(5.0, 5.0)), [SQUARE])
    assert [piece.quantity for piece in left] == [1]
    found = lay_out(left, PLY, pinned=pinned, **WAYS)
    assert (250.0, 150.0) in corners(found)
    assert [p.pinned for s in found.sheets for p in s.placements].count(True) == 1
    # With every copy pinned there is still a layout.
    pinned, left = pinned_of(on(at(9.0, 9.0, pinned=True), at(300.0, 9.0, pinned=True)), [SQUARE])
    assert sorted(corners(lay_out(left, PLY, pinned=pinned, **WAYS))) == [(9.0, 9.0), (300.0, 9.0)]


def test_pins_in_each_others_way_are_told():
    pinned, left = pinned_of(on(at(9.0, 9.0, pinned=True), at(50.0, 9.0, pinned=True)), [SQUARE])
    with pytest.raises(SheetError, match="Move the pinned pieces apart"):
        lay_out(left, PLY, pinned=pinned, **WAYS)


def test_an_unwanted_pin_is_dropped():
    pinned, left = pinned_of(on(at(9.0, 9.0, pinned=True)), [replace(SQUARE, name="other")])
    assert pinned == []
    assert [piece.quantity for piece in left] == [2]


def test_improving_leaves_pins_and_pulls_the_rest_near():
    start = on(at(100.0, 150.0, pinned=True), at(480.0, 250.0))
    best = tighten(start, budget_s=1.0, **WAYS)
    assert corners(best)[0] == (100.0, 150.0)
    assert max(p.polygon().bounds[2] for p in best.sheets[0].placements) < 210.0
    assert too_close(best, 3.0 - 0.02) == ()
    assert outside_sheet(best, 5.0 - 0.01) == ()


def test_no_better_way_leaves_every_piece_where_it_lies():
    # Side by side upward against the left edge; nothing is shorter than one square.
    start = on(at(5.0, 5.0), at(5.0, 287.0))
    assert tighten(start, budget_s=1.0, **WAYS) is start
