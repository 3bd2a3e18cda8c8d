"""What a time budget improves: never worse, always apart, stopped when asked."""

import itertools
import math
import time
from dataclasses import replace

import numpy as np
import pytest

from geometry.errors import Cancelled, SheetError
from geometry.outline import Loop, Profile
from geometry.part.stock import Stock
from geometry.sheet import Piece, lay_out, offcut_mm, outside_sheet, tighten, too_close

PLY = Stock("3 mm plywood", 2.9, 0.18, "laser", 0.0, (600.0, 400.0))


def wedge():
    return Profile(Loop.through([(0, 0), (150, 0), (0, 95)]))


def washer():
    return Profile(Loop.circle((0.0, 0.0), 60.0), (Loop.circle((0.0, 0.0), 40.0),))


def lot():
    return [Piece(wedge(), 8, "wedge"), Piece(washer(), 1, "washer"), Piece(disc(), 1, "disc")]


def disc():
    return Profile(Loop.circle((0.0, 0.0), 20.0))


def reach(sheet, axis):
    return max(p.polygon().bounds[2 + axis] for p in sheet.placements)


@pytest.mark.parametrize(("upright", "grain"), [(False, "none"), (True, "width")])
def test_a_better_layout_is_shorter_and_holds(upright, grain):
    stock = replace(PLY, sheet_mm=(400.0, 600.0) if upright else (600.0, 400.0), grain=grain)
    first = lay_out(lot(), stock, margin_mm=5.0, gap_mm=3.0)
    seen = []
    best = tighten(first, margin_mm=5.0, gap_mm=3.0, budget_s=1.0, better=seen.append)
    reaches = [reach(layout.sheets[0], int(upright)) for layout in (first, *seen)]
    assert all(a > b for a, b in itertools.pairwise(reaches))
    assert best is (seen[-1] if seen else first)
    assert too_close(best, 3.0 - 0.02) == ()
    assert outside_sheet(best, 5.0 - 0.01) == ()
    names = sorted((p.piece.name, p.copy) for p in best.sheets[0].placements)
    assert names == sorted((p.piece.name, p.copy) for p in first.sheets[0].placements)
    for placement in best.sheets[0].placements:
        assert np.linalg.det(placement.matrix[:2, :2]) == pytest.approx(1.0, abs=1e-9)
        if grain != "none":
            angle = math.atan2(placement.matrix[1, 0], placement.matrix[0, 0])
            assert abs(math.sin(angle)) < 1e-9


def test_what_lies_in_a_hole_moves_with_it():
    first = lay_out([Piece(washer(), 1, "washer"), Piece(disc(), 1, "disc")], PLY)
    best = tighten(first, margin_mm=5.0, gap_mm=3.0, budget_s=1.0)
    for layout in (first, best):
        around, within = (p.polygon() for p in layout.sheets[0].placements)
        assert around.convex_hull.contains(within)
        assert not around.intersects(within)


def test_sheets_are_never_more_and_all_pieces_stay():
    # Two halves make a rectangle of 295 × 190; four fit the sheet only as two such pairs.
    half = Profile(Loop.through([(0, 0), (295, 0), (0, 190)]))
    stock = replace(PLY, sheet_mm=(625.0, 210.0))
    first = lay_out([Piece(half, 4, "half")], stock, margin_mm=5.0, gap_mm=2.0)
    best = tighten(first, margin_mm=5.0, gap_mm=2.0, budget_s=1.0)
    assert len(best.sheets) <= len(first.sheets)
    assert sum(len(s.placements) for s in best.sheets) == 4
    assert too_close(best, 2.0 - 0.02) == ()


def test_stopping_keeps_the_best_so_far():
    first = lay_out(lot(), PLY)
    seen = []

    def stop(fraction, message):
        if seen:
            raise Cancelled

    began = time.monotonic()
    best = tighten(
        first, margin_mm=5.0, gap_mm=3.0, budget_s=1.0, better=seen.append, progress=stop
    )
    assert best is (seen[-1] if seen else first)
    assert time.monotonic() - began < 8.0


@pytest.mark.parametrize("budget", [0.0, -1.0, math.nan, math.inf])
def test_no_time_is_refused(budget):
    first = lay_out([Piece(disc())], PLY)
    with pytest.raises(SheetError, match="time to improve"):
        tighten(first, margin_mm=5.0, gap_mm=3.0, budget_s=budget)


def test_the_offcut_is_the_rectangle_beyond_the_last_piece():
    stock = replace(PLY, sheet_mm=(600.0, 400.0))
    square = Profile(Loop.through([(0, 0), (100, 0), (100, 100), (0, 100)]))
    layout = lay_out([Piece(square, 1, "square")], stock, margin_mm=5.0, gap_mm=3.0)
    # 600 - 5 - 100 - 3 along the sheet, its whole height across.
    assert offcut_mm(layout.sheets[0], stock, 3.0) == pytest.approx((492.0, 400.0), abs=1e-6)
