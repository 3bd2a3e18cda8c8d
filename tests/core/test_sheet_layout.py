"""Pieces on sheets keep their distance, their handedness and the sheet's edge."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from geometry.errors import Cancelled, SheetError
from geometry.outline import Arc, Line, Loop, Profile
from geometry.part.marking import engraved
from geometry.part.stock import Stock
from geometry.sheet import Layout, Piece, Placement, Sheet, lay_out, outside_sheet, overlaps

PLY = Stock("3 mm plywood", 2.9, 0.18, "laser", 0.0, (600.0, 400.0))


def rectangle(w, h):
    return Profile(Loop.through([(0, 0), (w, 0), (w, h), (0, h)]))


def ring(outer, bore):
    return Profile(Loop.circle((0.0, 0.0), outer / 2), (Loop.circle((0.0, 0.0), bore / 2),))


def crescent():
    """114 × 114 mm, like the cradle's rib."""
    inner = math.sqrt(103.0**2 - 26.0**2)
    start = math.atan2(-26.0, inner)
    return Profile(
        Loop(
            (
                Line((26.0, -140.0), (80.0, -140.0)),
                Arc((80.0, -80.0), 60.0, -math.pi / 2, math.pi / 2),
                Line((140.0, -80.0), (140.0, -26.0)),
                Line((140.0, -26.0), (inner, -26.0)),
                Arc((0.0, 0.0), 103.0, start, -(math.pi / 2 + 2 * start)),
                Line((26.0, -inner), (26.0, -140.0)),
            )
        ),
        (Loop.circle((97.6, -97.6), 13.0),),
    )


def smallest_gap(layout):
    polygons = [[p.polygon(1e-3) for p in s.placements] for s in layout.sheets]
    return min(
        a.distance(b) for sheet in polygons for i, a in enumerate(sheet) for b in sheet[i + 1 :]
    )


def cradle():
    return [
        Piece(crescent(), 6, "rib"),
        Piece(ring(228, 175), 1, "upper ring"),
        Piece(ring(112, 42.6), 1, "lower ring"),
    ]


def test_the_cradle_fits_one_sheet():
    layout = lay_out(cradle(), PLY)
    assert len(layout.sheets) == 1
    assert len(layout.sheets[0].placements) == 8
    assert smallest_gap(layout) >= 2.98
    assert overlaps(layout) == ()
    assert outside_sheet(layout, 5.0 - 0.01) == ()


def test_the_small_ring_lies_in_the_large_one():
    placements = lay_out(cradle(), PLY).sheets[0].placements
    upper, lower = (
        next(p.polygon() for p in placements if p.piece.name == name)
        for name in ("upper ring", "lower ring")
    )
    assert Polygon(upper.exterior).contains(lower)


def test_the_same_every_time():
    first, second = lay_out(cradle(), PLY), lay_out(cradle(), PLY)
    for a, b in zip(first.sheets[0].placements, second.sheets[0].placements, strict=True):
        assert np.array_equal(a.matrix, b.matrix)
        assert (a.piece.name, a.copy) == (b.piece.name, b.copy)


def test_moves_are_rigid_and_never_mirror():
    for placement in lay_out(cradle(), PLY).sheets[0].placements:
        turn = placement.matrix[:2, :2]
        assert np.allclose(turn @ turn.T, np.eye(2), atol=1e-12)
        assert np.linalg.det(turn) == pytest.approx(1.0, abs=1e-12)


def test_a_piece_as_large_as_the_sheet_allows_fits():
    layout = lay_out([Piece(rectangle(590.0, 390.0))], PLY)
    assert layout.sheets[0].placements[0].profile.bounds_mm == pytest.approx((5, 5, 595, 395))
    assert layout.sheets[0].used == pytest.approx(590 * 390 / (600 * 400))


def test_a_piece_that_fits_only_turned_is_turned():
    tall = Piece(rectangle(380.0, 580.0), name="back")
    assert lay_out([tall], PLY).sheets[0].placements[0].profile.bounds_mm[2] < 600.0
    with pytest.raises(SheetError, match=r"“back” of 380\.0 × 580\.0 mm does not fit a sheet"):
        lay_out([Piece(tall.profile, 1, "back", can_turn=False)], PLY)


def test_more_sheets_where_one_is_full():
    layout = lay_out([Piece(rectangle(280.0, 380.0), 5, "side")], PLY)
    assert [len(s.placements) for s in layout.sheets] == [2, 2, 1]
    assert sorted(p.copy for s in layout.sheets for p in s.placements) == [0, 1, 2, 3, 4]


def test_grain_is_kept():
    layout = lay_out([Piece(rectangle(100.0, 30.0), 9, "slat", can_turn=False)], PLY)
    for placement in layout.sheets[0].placements:
        assert np.array_equal(placement.matrix[:2, :2], np.eye(2))


@pytest.mark.parametrize(
    ("pieces", "options", "message"),
    [
        ([], {}, "nothing to lay out"),
        ([Piece(rectangle(1, 1), 0)], {}, "nothing to lay out"),
        ([Piece(rectangle(9, 9), -1, "peg")], {}, "nothing to lay out"),
        ([Piece(rectangle(9, 9))], {"margin_mm": 200.0}, "leaves nothing"),
        ([Piece(rectangle(9, 9))], {"gap_mm": -1.0}, "0 mm or more"),
        ([Piece(rectangle(9, 9))], {"gap_mm": math.nan}, "0 mm or more"),
    ],
)
def test_wrong_wishes_are_refused_in_words(pieces, options, message):
    with pytest.raises(SheetError, match=message):
        lay_out(pieces, PLY, **options)


def test_progress_only_grows_and_ends_at_one():
    told = []
    lay_out(cradle(), PLY, progress=lambda fraction, message: told.append(fraction))
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_progress_may_cancel():
    def stop(fraction, message):
        raise Cancelled

    with pytest.raises(Cancelled):
        lay_out(cradle(), PLY, progress=stop)


def at(profile, x, y):
    return Placement(Piece(profile), 0, np.array([[1.0, 0, x], [0, 1.0, y], [0, 0, 1.0]]))


def test_overlaps_measures_area_and_leaves_touching_alone():
    square = rectangle(10.0, 10.0)

    def laid(dx):
        return Layout((Sheet((at(square, 0, 0), at(square, dx, 0)), 0.0),), PLY)

    assert overlaps(laid(10.0)) == ()
    (found,) = overlaps(laid(9.5))
    assert (found.sheet, found.first, found.second) == (0, 0, 1)
    assert found.area_mm2 == pytest.approx(5.0)


def test_a_disc_in_its_own_ring_touches_and_does_not_overlap():
    disc = Profile(Loop.circle((0.0, 0.0), 20.0))
    laid = Layout((Sheet((at(ring(60, 40), 50, 50), at(disc, 50, 50)), 0.0),), PLY)
    assert overlaps(laid) == ()


@settings(max_examples=4, deadline=None)
@given(
    sizes=st.lists(
        st.tuples(st.floats(5, 90), st.floats(5, 90), st.integers(1, 3)), min_size=1, max_size=4
    ),
    gap=st.floats(0.0, 8.0),
    margin=st.floats(0.0, 10.0),
)
def test_any_pieces_keep_gap_and_margin(sizes, gap, margin):
    stock = Stock("card", 1.0, 0.0, "knife", 0.0, (150.0, 120.0))
    pieces = [
        Piece(Profile(Loop.through([(0, 0), (w, 0), (w / 3, h)])), n, f"{i}")
        for i, (w, h, n) in enumerate(sizes)
    ]
    layout = lay_out(pieces, stock, margin_mm=margin, gap_mm=gap)
    assert sum(len(s.placements) for s in layout.sheets) == sum(n for _, _, n in sizes)
    assert overlaps(layout) == ()
    assert outside_sheet(layout, margin - 1e-6) == ()
    for sheet in layout.sheets:
        if len(sheet.placements) > 1:
            assert smallest_gap(Layout((sheet,), stock)) >= gap - 1e-6


def turned_by(placement):
    return math.degrees(math.atan2(placement.matrix[1, 0], placement.matrix[0, 0])) % 360.0


@pytest.mark.parametrize("grain", ["width", "height"])
def test_grain_lets_pieces_lie_two_ways_only(grain):
    stock = replace(PLY, grain=grain)
    layout = lay_out(cradle(), stock)
    angles = {round(turned_by(p), 9) for s in layout.sheets for p in s.placements}
    assert angles <= {0.0, 180.0}
    # A strip across the grain that would fit only along it is refused.
    with pytest.raises(SheetError, match="does not fit"):
        lay_out([Piece(rectangle(20, 500))], stock)


def test_too_few_sheets_are_counted():
    many = [Piece(rectangle(290, 190), 9, "shelf")]
    assert len(lay_out(many, replace(PLY, sheets=3)).sheets) == 3
    with pytest.raises(SheetError, match=r"takes 3 sheets .* there are 2: 1 is missing"):
        lay_out(many, replace(PLY, sheets=2))


@pytest.mark.parametrize("x", [5.0, 217.3])
def test_pinned_pieces_stay_and_are_kept_clear_of(x):
    matrix = np.array([[1.0, 0.0, x], [0.0, 1.0, 60.7], [0.0, 0.0, 1.0]])
    stays = Placement(Piece(rectangle(150, 90), 1, "stays"), 0, matrix)
    layout = lay_out(cradle(), PLY, gap_mm=3.0, pinned=[(0, stays)])
    assert layout.sheets[0].placements[0] is stays
    assert smallest_gap(layout) >= 3.0 - 0.02
    assert sum(len(s.placements) for s in layout.sheets) == 9


def test_pinned_pieces_in_each_others_way_are_refused():
    stays = [(0, Placement(Piece(rectangle(50, 50)), 0, np.eye(3))) for _ in range(2)]
    with pytest.raises(SheetError, match="pinned pieces apart"):
        lay_out(cradle(), PLY, margin_mm=0.0, pinned=stays)


def test_marks_go_where_their_piece_goes():
    # A tick from the plate's corner to 10 mm along its long side, whichever way it comes to lie.
    plate = Piece(rectangle(80, 30), 2, "plate", marks=engraved([[Line((0, 0), (10, 0))]]))
    for placement in lay_out([plate], PLY).sheets[0].placements:
        (mark,) = placement.marks
        (tick,) = mark.segments
        near = placement.polygon().exterior
        assert near.distance(Point(tick.start)) < 1e-6
        assert math.dist(tick.start, tick.end) == pytest.approx(10.0, abs=1e-9)
        corners = np.asarray(near.coords)
        assert np.hypot(*(corners - tick.start).T).min() < 1e-6


def test_a_piece_far_larger_than_its_sheet_is_refused_before_it_is_drawn(monkeypatch):
    from geometry.sheet import bitmap

    drawn = []
    honest = bitmap._drawn
    monkeypatch.setattr(bitmap, "_drawn", lambda *given: drawn.append(1) or honest(*given))
    with pytest.raises(SheetError, match=r"10000\.0 × 9000\.0 mm does not fit"):
        lay_out(
            [Piece(rectangle(10_000.0, 9_000.0))], Stock("ply", 3.0, 0.2, sheet_mm=(60.0, 40.0))
        )
    assert drawn == []
