"""Fit series: sizes, labels that can be cut, and steps no machine can hold."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import PartError
from geometry.outline import Arc, Line
from geometry.part.fits import fit_series, slot_width
from geometry.part.lettering import FIGURES, lettering_size, write_figures
from geometry.part.measured_kerf import kerf_from_strips

FEATURES = ["ring bore", "hole", "slot", "tab", "peg"]


def width_at(piece, y):
    """Lengths of material along the horizontal at ``y``, and of the gaps between."""
    line = shapely.LineString([(-500, y), (500, y)])
    crossed = shapely.intersection(piece.profile.polygon(1e-5), line)
    spans = sorted((s.bounds[0], s.bounds[2]) for s in shapely.get_parts(crossed))
    return [b - a for a, b in spans], [b[0] - a[1] for a, b in pairwise(spans)]


def test_slots_step_through_the_nominal_width():
    pieces = fit_series(3.0, 0.05, 7)
    assert [p.label for p in pieces] == ["2.85", "2.90", "2.95", "3.00", "3.05", "3.10", "3.15"]
    for piece in pieces:
        top = piece.profile.bounds_mm[3]
        assert width_at(piece, top - 5.0)[1] == [pytest.approx(float(piece.label), abs=1e-9)]
        assert len(width_at(piece, top - 15.1)[0]) == 1


def test_ring_bores_are_whole_circles_of_their_size():
    for piece in fit_series(120.0, 0.2, 3, feature="ring bore"):
        (bore,) = piece.profile.holes[0].segments
        assert isinstance(bore, Arc)
        assert 2.0 * bore.radius_mm == pytest.approx(piece.size_mm, abs=1e-12)


def test_tabs_are_as_wide_as_their_label_says():
    for piece in fit_series(3.0, 0.1, 3, feature="tab", process="router"):
        assert width_at(piece, 10.0)[0] == [pytest.approx(float(piece.label), abs=1e-9)]
        assert piece.profile.bounds_mm[3] == pytest.approx(15.0)


@pytest.mark.parametrize("feature", FEATURES)
@pytest.mark.parametrize("nominal", [2.0, 35.0])
def test_labels_lie_on_the_material_with_room_around(feature, nominal):
    for piece in fit_series(nominal, 0.1, 5, feature=feature):
        ink = shapely.MultiLineString(
            [[line.start for line in stroke] + [stroke[-1].end] for stroke in piece.marks]
        )
        assert piece.profile.polygon(1e-3).buffer(-0.5).covers(ink)


def test_moved_piece_takes_its_label_along():
    piece = fit_series(3.0, 0.05, 1)[0]
    there = piece.moved(100.0, -20.0)
    assert np.subtract(there.marks[0][0].start, piece.marks[0][0].start) == pytest.approx(
        [100.0, -20.0]
    )
    assert there.profile.bounds_mm[0] == pytest.approx(piece.profile.bounds_mm[0] + 100.0)


def test_steps_finer_than_the_machine_repeats_are_refused_with_the_reason():
    with pytest.raises(PartError, match=r"cannot be told apart.*±0\.05 mm"):
        fit_series(3.0, 0.02, 7)
    with pytest.raises(PartError, match=r"±0\.1 mm"):
        fit_series(3.0, 0.05, 7, process="router")
    assert len(fit_series(3.0, 0.02, 7, repeatability_mm=0.01)) == 7


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"nominal_mm": 0.0}, "nominal size"),
        ({"nominal_mm": math.nan}, "nominal size"),
        ({"step_mm": 0.0}, "step must be"),
        ({"count": 0}, "from 1 to"),
        ({"count": 51}, "from 1 to"),
        ({"feature": "thread"}, "no fit test"),
        ({"process": "saw"}, "laser, router or knife"),
        ({"nominal_mm": 0.1, "count": 9}, "begin at"),
    ],
)
def test_numbers_that_make_no_series_are_refused(changes, reason):
    with pytest.raises(PartError, match=reason):
        fit_series(**{"nominal_mm": 3.0, "step_mm": 0.05, "count": 7, **changes})


def test_labels_show_the_decimals_a_step_needs():
    assert [p.label for p in fit_series(3.0, 0.5, 3)] == ["2.5", "3.0", "3.5"]
    assert [p.label for p in fit_series(3.0, 0.125, 2)] == ["2.875", "3.000"]


def test_every_figure_is_a_different_drawing_of_the_height_asked_for():
    drawings = set()
    for sign in FIGURES:
        strokes = write_figures(sign, 6.0)
        drawings.add(strokes)
        ys = [y for stroke in strokes for line in stroke for y in (line.start[1], line.end[1])]
        if sign.isdigit():
            assert max(ys) - min(ys) == pytest.approx(6.0)
        assert all(isinstance(line, Line) and line.length_mm > 0.1 for s in strokes for line in s)
    assert len(drawings) == len(FIGURES)


def test_figures_do_not_touch_their_neighbours():
    for a in "0123456789.-+":
        for b in "0123456789.-+":
            left, right = (lettering_size(sign, 6.0)[0] for sign in (a, b))
            assert lettering_size(a + b, 6.0)[0] - left - right == pytest.approx(1.5)


def test_letters_and_bad_heights_are_refused():
    with pytest.raises(PartError, match="“x” cannot be lettered"):
        write_figures("3x", 4.0)
    with pytest.raises(PartError, match="height above 0"):
        write_figures("3", 0.0)


@pytest.mark.parametrize("numbers", [(0.0, 0.0, 0.0), (3.0, -3.0, 0.0), (3.0, 0.0, 3.1)])
def test_slot_widths_of_nothing_are_refused(numbers):
    with pytest.raises(PartError, match="no slot to cut"):
        slot_width(*numbers)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.0, 0.5), st.integers(1, 40))
def test_kerf_times_cuts_is_the_gap(kerf, strips):
    # Elementary: strips + 1 cuts of one kerf each leave the gap.
    assert kerf_from_strips(kerf * (strips + 1), strips).kerf_mm == pytest.approx(kerf, abs=1e-12)


def test_impossible_strips_are_refused():
    with pytest.raises(PartError, match="gap must be"):
        kerf_from_strips(-0.1, 5)
    with pytest.raises(PartError, match="At least one strip"):
        kerf_from_strips(0.2, 0)
    with pytest.raises(PartError, match="doubt of a reading"):
        kerf_from_strips(0.2, 5, reading_mm=math.inf)
