"""Offsetting edge by edge: kinds stay, many at once, and whoever it cannot do is left alone."""

import math
import pickle

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import OutlineError
from geometry.outline import (
    Arc,
    Cubic,
    Line,
    Loop,
    Profile,
    circle,
    rectangle,
    ring,
    slot,
    subtract,
)
from geometry.outline.curves.edges import move_edges
from geometry.outline.curves.offset import offset, offset_all
from geometry.outline.curves.shift import shift_profiles

LEAF = Profile(Loop((Cubic((0, 0), (20, 30), (60, 30), (80, 0)), Line((80.0, 0.0), (0.0, 0.0)))))


def bitten():
    """Plate with a round bite, so that lines meet arcs at sharp corners of both kinds."""
    return subtract(rectangle(60.0, 40.0), circle(20.0, (0.0, 24.0)))


def test_loops_from_arrays_are_the_loops_they_were():
    for profile in (rectangle(9.0, 4.0), ring(30.0, 10.0), bitten(), slot(30.0, 9.0)):
        for loop in profile.loops:
            again = Loop.from_arrays(loop.arrays)
            assert again.signed_area_mm2 == pytest.approx(loop.signed_area_mm2, rel=1e-12)
            assert np.allclose(again.flatten(), loop.flatten(), atol=1e-9)
            back = Loop.from_arrays(loop.arrays.reversed())
            assert np.allclose(back.flatten(), loop.reversed().flatten(), atol=1e-9)
            assert pickle.loads(pickle.dumps(again)) == again
            assert hash(again) == hash(Loop(again.segments))


def test_loops_do_not_change_and_refuse_corners_that_are_no_numbers():
    loop = rectangle(9.0, 4.0).outer
    with pytest.raises(AttributeError, match="immutable"):
        loop.segments = ()
    with pytest.raises(OutlineError, match="Corner 2"):
        Loop.through([(0.0, 0.0), (math.nan, 1.0), (1.0, 1.0)])


def test_sharp_corners_beside_arcs_run_out_along_the_tangent():
    (path,) = shift_profiles([bitten()], 0.5)
    # The bite's arc is 10 mm; growing the material makes it 9.5, in the same place.
    (arc,) = (s for s in path.outer.segments if isinstance(s, Arc))
    assert (arc.center, arc.radius_mm) == ((0.0, 24.0), pytest.approx(9.5))
    away = shapely.distance(shapely.points(path.outer.flatten(1e-4)), bitten().polygon(1e-5))
    assert away.min() == pytest.approx(0.5, abs=1e-4)


def test_cubics_stay_cubics_and_keep_their_distance():
    (path,) = shift_profiles([LEAF], 0.1)
    assert 1 <= path.count(Cubic) <= 8
    assert path.count(Line) == 3
    places = shapely.points(path.outer.flatten(1e-5))
    away = shapely.distance(places, LEAF.polygon(1e-6))
    assert away.min() == pytest.approx(0.1, abs=2e-4)


def test_cubic_that_bends_more_tightly_than_the_offset_is_left_to_the_slower_way():
    hairpin = Profile(
        Loop((Cubic((0, 0), (30, 0.5), (30, -0.5), (0, 0.9)), Line((0.0, 0.9), (0.0, 0.0))))
    )
    assert shift_profiles([hairpin], -0.4) == [None]
    assert shift_profiles([LEAF], -8.0) == [None]
    assert offset(LEAF, -8.0)[0].area_mm2 < LEAF.area_mm2


def test_what_vanishes_or_meets_is_left_to_the_slower_way():
    narrow = subtract(rectangle(60.0, 40.0), rectangle(0.8, 20.0, (0.0, 20.0)))
    pinhole = subtract(rectangle(40.0, 40.0), circle(0.8))
    neck = subtract(rectangle(60.0, 40.0), rectangle(10.0, 6.0, (0.0, 16.5)))
    for profile in (narrow, pinhole):
        assert shift_profiles([profile, rectangle(9.0, 9.0)], 0.5)[0] is None
        assert shift_profiles([profile, rectangle(9.0, 9.0)], 0.5)[1] is not None
    # Half a millimetre of web is left to the edge: shrinking by 0.3 from both sides breaks it.
    assert shift_profiles([neck], -0.3) == [None]
    assert len(offset(neck, -0.3)) == 1


@settings(max_examples=30, deadline=None)
@given(st.floats(10.0, 40.0), st.floats(2.0, 9.0), st.floats(0.0, 6.3), st.floats(-0.9, 0.9))
def test_batches_are_what_single_ones_are(length, width, turn, distance):
    parts = [slot(length, width, (3.0, 1.0), turn), bitten().rotated(turn), LEAF, ring(30.0, 20.0)]
    together = offset_all(parts, distance)
    for part, pieces in zip(parts, together, strict=True):
        assert pieces == offset(part, distance)
        (one,) = pieces
        # Growing by d adds the perimeter times d and something of the order d²; curves are drawn
        # within a fifth of a micrometre.
        change = one.area_mm2 - part.area_mm2
        edge = sum(loop.length_mm for loop in part.loops)
        assert change == pytest.approx(distance * edge, abs=40.0 * distance**2 + 2e-4 * edge)


def test_edges_moved_by_themselves_take_their_neighbours_along():
    plate = rectangle(60.0, 40.0)
    wider = move_edges(plate, {(0, 1): 2.0})
    assert wider.bounds_mm == pytest.approx((-30.0, -20.0, 32.0, 20.0))
    assert move_edges(ring(30.0, 20.0), {(1, 0): -1.0}).holes[0].segments[0].radius_mm == 11.0
    with pytest.raises(OutlineError, match="would vanish"):
        move_edges(plate, {(0, 1): -61.0})
    curve = next(i for i, s in enumerate(LEAF.outer.segments) if isinstance(s, Cubic))
    with pytest.raises(OutlineError, match="no line or arc"):
        move_edges(LEAF, {(0, curve): 1.0})
    with pytest.raises(OutlineError, match="would vanish"):
        move_edges(ring(30.0, 20.0), {(1, 0): 10.0})
