"""Pieces slid together to the gap asked for, and long ones laid along a diagonal."""

import math
import random

import numpy as np
import pytest
import shapely

from geometry.errors import SheetError
from geometry.outline import Loop, Profile, circle, rectangle, subtract
from geometry.part.stock import Stock
from geometry.sheet import Piece, lay_out, outside_sheet, overlaps
from geometry.sheet.bitmap import narrow_turns


def board(width, height, **more):
    return Stock("board", 3.0, 0.2, sheet_mm=(width, height), **more)


def random_pieces(count, seed):
    rng = random.Random(seed)
    made = []
    for number in range(count):
        sides = rng.choice([3, 4, 5, 6, 7])
        turns = [2 * math.pi * (k + rng.uniform(-0.1, 0.1)) / sides for k in range(sides)]
        reach = [rng.uniform(12, 30) for _ in range(sides)]
        places = [(r * math.cos(t), r * math.sin(t)) for r, t in zip(reach, turns, strict=True)]
        shape = Profile(Loop.through(places))
        if number % 4 == 0:
            shape = subtract(rectangle(70, 50), circle(36))
        made.append(Piece(shape, 2, f"piece {number}"))
    return made


@pytest.mark.parametrize(("size", "gap"), [((600, 300), 3.0), ((300, 700), 2.0), ((500, 400), 0.0)])
def test_pieces_lie_as_near_as_the_gap_asked_for_and_no_nearer(size, gap):
    pieces = random_pieces(16, seed=int(gap) + size[0])
    layout = lay_out(pieces, board(*size), margin_mm=4.0, gap_mm=gap)
    assert outside_sheet(layout, 4.0 - 0.011) == ()
    nearest = []
    for sheet in layout.sheets:
        shapes = [p.polygon(1e-3) for p in sheet.placements]
        tree = shapely.STRtree(shapes)
        for i, shape in enumerate(shapes):
            around = [j for j in tree.query(shape, "dwithin", distance=30.0) if j != i]
            nearest.append(min(shape.distance(shapes[j]) for j in around))
    # Curves are laid by their chords, 0.01 mm off at most on either side.
    assert min(nearest) >= gap - 0.021
    assert np.median(nearest) <= gap + 0.06
    assert overlaps(layout) == ()


def test_what_is_pinned_does_not_move_and_nothing_slides_into_it():
    pieces = random_pieces(10, seed=3)
    first = lay_out(pieces, board(500, 400), margin_mm=2.0, gap_mm=3.0)
    stays = [(0, p) for p in first.sheets[0].placements[3:6]]
    left = random_pieces(8, seed=9)
    second = lay_out(left, board(500, 400), margin_mm=2.0, gap_mm=3.0, pinned=stays)
    kept = second.sheets[0].placements[:3]
    assert all(np.array_equal(a.matrix, b.matrix) for a, (_, b) in zip(kept, stays, strict=True))
    assert overlaps(second) == ()


def test_a_long_piece_is_laid_along_the_diagonal_it_fits_along():
    rng = random.Random(2)
    for _ in range(6):
        width, height = rng.uniform(300, 600), rng.uniform(150, 300)
        thin = rng.uniform(4, 12)
        turn = math.atan2(height, width)
        # As long as fits at some turn, by school geometry: both corners' sides touch.
        longest = max(
            min(
                (width - thin * math.sin(t)) / math.cos(t),
                (height - thin * math.cos(t)) / math.sin(t),
            )
            for t in np.linspace(turn - 0.2, turn + 0.2, 4001)
        )
        strip = Piece(rectangle(longest - 0.05, thin), 1, "strip")
        layout = lay_out([strip], board(width, height), margin_mm=0.0, gap_mm=0.0)
        assert outside_sheet(layout, -0.011) == ()
        too_long = Piece(rectangle(longest + 0.2, thin), 1, "strip")
        with pytest.raises(SheetError, match="does not fit"):
            lay_out([too_long], board(width, height), margin_mm=0.0, gap_mm=0.0)
        grained = board(width, height, grain="width")
        with pytest.raises(SheetError, match="does not fit"):
            lay_out([strip], grained, margin_mm=0.0, gap_mm=0.0)


def test_turns_that_fit_are_found_and_others_are_not():
    strip = rectangle(400.0, 10.0).polygon()
    assert narrow_turns(strip, (300.0, 200.0)) == []
    for angle in narrow_turns(strip, (370.0, 200.0)):
        turned = shapely.affinity.rotate(strip, angle, use_radians=True)
        x0, y0, x1, y1 = turned.bounds
        assert x1 - x0 <= 370.0 + 1e-5
        assert y1 - y0 <= 200.0 + 1e-5
    assert narrow_turns(strip, (370.0, 200.0))
