"""Cross-laps: widths, which slot opens where, how far, and what is refused."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import (
    Part,
    cross_lap,
    cross_laps,
    lie_across_axis,
    stand_on_axis,
    turn_about_axis,
)
from geometry.errors import AssemblyError, PartsDoNotMeetError
from geometry.outline import Loop, Profile
from geometry.part import Stock


def stock(thickness_mm=3.0):
    return Stock("ply", thickness_mm, 0.1)


def board(x0, y0, x1, y1):
    return Profile(Loop.through([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))


def ring(outer_mm, bore_mm):
    return Profile(Loop.circle((0, 0), outer_mm / 2), (Loop.circle((0, 0), bore_mm / 2),))


def rib(profile, azimuth_rad=0.0, thickness_mm=3.0):
    return Part(profile, stock(thickness_mm), stand_on_axis(azimuth_rad), "rib")


def disc(profile, height_mm=0.0, thickness_mm=3.0):
    return Part(profile, stock(thickness_mm), lie_across_axis(height_mm), "ring")


def left(part, cut):
    return part.profile.polygon(1e-3).difference(cut.polygon())


def test_rib_opens_at_its_inner_edge_and_ring_at_its_outer():
    a, b = rib(board(20, -30, 60, 30)), disc(ring(100, 30))
    lap = cross_lap(a, b)
    start, end = lap.line
    assert start[0] == pytest.approx(20.0, abs=1e-3)
    assert end[0] == pytest.approx(50.0, abs=1e-3)
    assert lap.a_opens == "start"
    assert lap.split_world[0] == pytest.approx(35.0, abs=1e-3)
    assert lap.depth_a_mm == pytest.approx(15.0, abs=1e-3)
    # At the strip's edges the circle has fallen back, so the deepest material is on the line.
    assert lap.depth_b_mm == pytest.approx(15.0, abs=1e-3)
    x0, y0, x1, y1 = lap.cut_a.bounds_mm
    assert x0 < 20.0
    assert x1 == pytest.approx(35.0, abs=1e-3)
    assert (y0, y1) == pytest.approx((-1.5, 1.5))
    x0, y0, x1, y1 = lap.cut_b.bounds_mm
    assert x0 == pytest.approx(35.0, abs=1e-3)
    assert x1 > 50.0


def test_rib_at_any_azimuth_is_cut_only_on_its_own_side_of_the_bore():
    for azimuth in np.linspace(0.3, 2 * math.pi, 5):
        lap = cross_lap(rib(board(20, -30, 60, 30), azimuth), disc(ring(100, 30)))
        x, y = lap.mouth_b
        assert math.hypot(x, y) == pytest.approx(50.0, abs=1e-3)
        assert math.remainder(math.atan2(y, x) - azimuth, 2 * math.pi) == pytest.approx(0, abs=1e-9)


def test_cut_leaves_one_piece_with_an_open_slot():
    a, b = rib(board(20, -30, 60, 30), 1.0), disc(ring(100, 30))
    lap = cross_lap(a, b)
    for part, cut in ((a, lap.cut_a), (b, lap.cut_b)):
        rest = left(part, cut)
        assert rest.geom_type == "Polygon"
        assert len(rest.interiors) == len(part.profile.holes)
    taken = b.profile.area_mm2 - left(b, lap.cut_b).area
    assert taken == pytest.approx(15.0 * 3.0, abs=0.2)


def test_cut_stops_short_of_the_other_side_of_a_narrow_bore():
    # A bore of 0.8 mm: the slot opens into it and may not touch its far side.
    a = rib(board(-20, -30, 0.2, 30))
    b = disc(ring(40, 0.8), thickness_mm=3.0)
    lap = cross_lap(a, b, a_opens="end")
    assert lap.cut_a.bounds_mm[2] > 0.2
    split = Profile(board(-1, -20, 10, 20).outer)
    comb = Part(board(-30, -10, -0.3, 10), stock(), np.eye(4))
    other = Part(split, stock(), turn_about_axis((0, 0, 0), (1, 0, 0), math.pi / 2))
    lap = cross_lap(comb, other)
    assert lap.depth_a_mm == pytest.approx(0.35, abs=1e-3)


def test_two_prongs_on_one_line_make_two_laps_that_open_the_same_way():
    fork = Profile(
        Loop.through(
            [(0, -20), (50, -20), (50, 20), (40, 20), (40, -10), (10, -10), (10, 20), (0, 20)]
        )
    )
    a = Part(fork, stock(), stand_on_axis(0.0), "fork")
    b = Part(board(-5, -20, 55, 20), stock(), np.eye(4), "board")
    laps = cross_laps(a, b)
    assert len(laps) == 2
    assert len({lap.a_opens for lap in laps}) == 1
    assert [lap.shared_mm for lap in laps] == pytest.approx([10.0, 10.0], abs=1e-3)
    # Each cut in the fork stays within its own prong.
    for lap, other in zip(laps, ((40, 20), (0, 20)), strict=True):
        prong = shapely.box(other[0], -20, other[0] + 10, other[1])
        assert lap.cut_a.polygon().intersection(prong).area == 0.0


def test_crossing_boards_of_equal_reach_open_by_the_documented_default():
    a = Part(board(-40, -10, 40, 10), stock(), stand_on_axis(0.0))
    b = Part(board(-40, -10, 40, 10), stock(), np.eye(4))
    lap = cross_lap(a, b)
    assert lap.a_opens == "end"
    assert lap.direction == pytest.approx((1, 0, 0))
    assert cross_lap(a, b, a_opens="start").cut_a.bounds_mm[0] < -40.0


def test_board_wholly_inside_another_makes_the_other_slot_longer():
    a = Part(board(0, -10, 60, 10), stock(), stand_on_axis(0.0))
    b = Part(board(10, -10, 30, 10), stock(), np.eye(4))
    lap = cross_lap(a, b)
    assert lap.a_opens == "start"
    assert lap.depth_a_mm == pytest.approx(20.0, abs=1e-6)
    assert lap.depth_b_mm == pytest.approx(10.0, abs=1e-6)


def test_split_gives_part_a_its_share_whichever_way_it_opens():
    a = Part(board(-40, -10, 40, 10), stock(), stand_on_axis(0.0))
    b = Part(board(-40, -10, 40, 10), stock(), np.eye(4))
    for opens in ("start", "end"):
        lap = cross_lap(a, b, split=0.25, a_opens=opens)
        assert lap.depth_a_mm == pytest.approx(20.0)
        assert lap.depth_b_mm == pytest.approx(60.0)


def test_end_clearance_is_shared_by_both_bottoms():
    a = Part(board(-40, -10, 40, 10), stock(), stand_on_axis(0.0))
    b = Part(board(-40, -10, 40, 10), stock(), np.eye(4))
    lap = cross_lap(a, b, end_clearance_mm=0.4)
    assert lap.depth_a_mm == pytest.approx(40.2)
    assert lap.depth_b_mm == pytest.approx(40.2)


def test_loose_crossing_says_so_and_by_how_much():
    a = Part(board(-40, -30, 40, 30), stock(), np.eye(4))
    turned = Part(
        board(-40, -30, 40, 30), stock(), turn_about_axis((0, 0, 0), (1, 0, 0), math.pi / 3)
    )
    lap = cross_lap(a, turned)
    assert lap.is_loose
    # 3 mm at 60°: 5.196 - 3.464, worked by hand.
    assert lap.slack_mm == pytest.approx(1.732, abs=5e-4)
    square = Part(turned.profile, stock(), turn_about_axis((0, 0, 0), (1, 0, 0), math.pi / 2))
    assert not cross_lap(a, square).is_loose
    assert cross_lap(a, square).slack_mm == pytest.approx(0.0, abs=1e-12)


def test_parallel_and_distant_parts_are_refused():
    a = Part(board(0, 0, 10, 10), stock(), np.eye(4), "lid")
    with pytest.raises(PartsDoNotMeetError, match="parallel"):
        cross_lap(a, Part(a.profile, stock(), lie_across_axis(20.0)))
    with pytest.raises(PartsDoNotMeetError, match="lid"):
        cross_lap(a, rib(board(20, -10, 40, 10)))
    # Butting edge on is no crossing either.
    with pytest.raises(PartsDoNotMeetError):
        cross_lap(a, rib(board(0, 1.5, 40, 10)))


def test_numbers_out_of_range_are_refused():
    a, b = rib(board(20, -30, 60, 30)), disc(ring(100, 30))
    for wrong in ({"split": 0.0}, {"split": 1.0}, {"end_clearance_mm": -1.0}, {"a_opens": "up"}):
        with pytest.raises(AssemblyError):
            cross_lap(a, b, **wrong)
    with pytest.raises(AssemblyError, match="interference"):
        cross_lap(a, b, -3.0)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(math.radians(20), math.radians(160)),
    st.floats(1.0, 8.0),
    st.floats(1.0, 8.0),
    st.floats(0.0, 0.5),
)
def test_cross_lap_is_the_same_whichever_part_is_named_first(angle, t1, t2, clearance):
    a = Part(board(-50, -60, 40, 60), stock(t1), np.eye(4))
    b = Part(board(-30, -60, 70, 60), stock(t2), turn_about_axis((0, 0, 0), (1, 0, 0), angle))
    ab, ba = cross_lap(a, b, clearance), cross_lap(b, a, clearance)
    assert ab.width_a_mm == pytest.approx(ba.width_b_mm)
    assert ab.depth_a_mm == pytest.approx(ba.depth_b_mm)
    same = ab.cut_a.polygon().symmetric_difference(ba.cut_b.polygon())
    assert same.area == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(-math.pi, math.pi),
    st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: math.hypot(*v) > 0.1),
    st.tuples(*[st.floats(-200, 200)] * 3),
)
def test_cross_lap_moves_with_its_parts(angle, axis, move):
    rigid = turn_about_axis((0, 0, 0), axis, angle)
    rigid[:3, 3] = move
    a, b = rib(board(20, -30, 60, 30), 0.7), disc(ring(100, 30))
    still = cross_lap(a, b)
    moved = cross_lap(
        Part(a.profile, a.stock, rigid @ a.pose), Part(b.profile, b.stock, rigid @ b.pose)
    )
    for one, two in ((still.cut_a, moved.cut_a), (still.cut_b, moved.cut_b)):
        assert one.polygon().symmetric_difference(two.polygon()).area < 1e-6
