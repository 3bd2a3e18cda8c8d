"""Common volume of two flat parts."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import (
    Part,
    cross_lap,
    interference,
    lie_across_axis,
    stand_on_axis,
    turn_about_axis,
)
from geometry.outline import Loop, Profile
from geometry.part import Stock


def stock(thickness_mm=3.0):
    return Stock("ply", thickness_mm, 0.1)


def board(x0, y0, x1, y1):
    return Profile(Loop.through([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))


def without(part, cut):
    rest = part.profile.polygon(1e-3).difference(cut.polygon())
    outer, holes = (
        Loop.through(rest.exterior.coords),
        [Loop.through(r.coords) for r in rest.interiors],
    )
    return Part(Profile(outer, tuple(holes)), part.stock, part.pose, part.name)


def tilted(angle_rad, thickness_mm=3.0, profile=None):
    profile = profile or board(-30, -40, 70, 40)
    return Part(profile, stock(thickness_mm), turn_about_axis((0, 0, 0), (1, 0, 0), angle_rad))


def test_square_crossing_shares_both_thicknesses_times_the_length():
    a = Part(board(-50, -40, 50, 40), stock(3.0), np.eye(4))
    found = interference(a, tilted(math.pi / 2, 4.0))
    # From -30 to 50 the boards share 80 mm: 3 × 4 × 80.
    assert found.volume_mm3 == pytest.approx(960.0)
    assert found.longest_mm == pytest.approx(80.0)
    assert found.where_world == pytest.approx((10.0, 0.0, 0.0), abs=1e-9)


def test_window_in_one_board_takes_its_share_away():
    window = Loop.through([(-10, -20), (10, -20), (10, 20), (-10, 20)])
    a = Part(Profile(board(-50, -40, 50, 40).outer, (window,)), stock(), np.eye(4))
    found = interference(a, tilted(math.pi / 2))
    assert found.volume_mm3 == pytest.approx(9.0 * 60.0)
    assert found.longest_mm == pytest.approx(40.0)


def test_parallel_sheets_share_their_overlap_times_the_common_thickness():
    a = Part(board(0, 0, 10, 10), stock(3.0), np.eye(4))
    b = Part(board(4, 5, 20, 30), stock(3.0), lie_across_axis(2.0))
    # 6 × 5 mm of overlap, 1 mm of common thickness.
    assert interference(a, b).volume_mm3 == pytest.approx(30.0)
    assert interference(a, Part(b.profile, stock(3.0), lie_across_axis(3.0))).is_clear


def test_sheet_lying_upside_down_on_another_is_compared_the_right_way_round():
    a = Part(board(0, 0, 10, 10), stock(), np.eye(4))
    over = turn_about_axis((0, 0, 0), (1, 0, 0), math.pi)
    assert interference(a, Part(board(0, 0, 10, 10), stock(), over)).is_clear
    assert interference(a, Part(board(0, -10, 10, 0), stock(), over)).volume_mm3 == pytest.approx(
        300
    )


def test_distant_parts_share_nothing():
    a = Part(board(0, 0, 10, 10), stock(), np.eye(4))
    assert interference(a, Part(board(20, -10, 40, 10), stock(), stand_on_axis(0.0))).is_clear


@settings(max_examples=40, deadline=None)
@given(
    st.floats(math.radians(20), math.radians(160)),
    st.floats(1.0, 8.0),
    st.floats(1.0, 8.0),
    st.floats(0.3, 0.7),
)
def test_lapped_parts_share_nothing_at_any_angle_and_thickness(angle, t1, t2, split):
    a = Part(board(-50, -60, 40, 60), stock(t1), np.eye(4))
    b = tilted(angle, t2, board(-30, -60, 70, 60))
    lap = cross_lap(a, b, split=split)
    assert not interference(a, b).is_clear
    # A single cut leaves one half of the shared length, both cuts leave nothing.
    half = interference(without(a, lap.cut_a), b)
    assert half.longest_mm == pytest.approx(70.0 * (1 - split), abs=1e-6)
    assert interference(without(a, lap.cut_a), without(b, lap.cut_b)).volume_mm3 < 1e-6


@settings(max_examples=25, deadline=None)
@given(st.floats(math.radians(20), math.radians(160)), st.floats(1.0, 8.0), st.floats(1.0, 8.0))
def test_slots_a_hundredth_too_narrow_collide(angle, t1, t2):
    a = Part(board(-50, -60, 40, 60), stock(t1), np.eye(4))
    b = tilted(angle, t2, board(-30, -60, 70, 60))
    lap = cross_lap(a, b, -0.01)
    assert not interference(without(a, lap.cut_a), without(b, lap.cut_b)).is_clear


@settings(max_examples=25, deadline=None)
@given(
    st.floats(math.radians(20), math.radians(160)),
    st.floats(-math.pi, math.pi),
    st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: math.hypot(*v) > 0.1),
)
def test_volume_is_symmetric_and_moves_with_the_parts(angle, turn, axis):
    disc = Profile(Loop.circle((3, 2), 25.0))
    a, b = Part(disc, stock(2.0), np.eye(4)), tilted(angle, 4.0)
    volume = interference(a, b).volume_mm3
    assert interference(b, a).volume_mm3 == pytest.approx(volume, rel=1e-6)
    rigid = turn_about_axis((5, 6, 7), axis, turn)
    moved = interference(
        Part(a.profile, a.stock, rigid @ a.pose), Part(b.profile, b.stock, rigid @ b.pose)
    )
    assert moved.volume_mm3 == pytest.approx(volume, rel=1e-6)
