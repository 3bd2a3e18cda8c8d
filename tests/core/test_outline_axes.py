"""Handles of a symmetry axis: where they lie, and what dragging makes of the axis."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.outline import Axis, rectangle
from geometry.outline.symmetry.axes import copy_about, handles_of

PLATE = rectangle(60.0, 40.0)
places = st.tuples(st.floats(-200.0, 200.0), st.floats(-200.0, 200.0))


def upright():
    return handles_of(PLATE, Axis((3.0, 0.0), math.pi / 2.0), turns=False)


def test_an_axis_is_drawn_a_little_longer_than_the_shape():
    held = upright()
    # 40 mm high, an eighth more at either end, give or take.
    assert held.start == pytest.approx((3.0, -24.8))
    assert held.end == pytest.approx((3.0, 24.8))
    assert held.middle == pytest.approx((3.0, 0.0))
    assert held.about.angle_rad == pytest.approx(math.pi / 2.0)


def test_the_middle_moves_the_axis_and_keeps_its_direction():
    moved = upright().dragged("middle", (5.0, 1.0))
    assert moved.about.point == pytest.approx((5.0, 1.0))
    assert moved.about.angle_rad == pytest.approx(math.pi / 2.0)


def test_an_end_turns_a_mirror_axis_about_its_other_end():
    held = upright()
    turned = held.dragged("end", (3.0 + 10.0, -24.8 + 10.0))
    assert turned.start == pytest.approx(held.start)
    assert turned.about.angle_rad == pytest.approx(math.pi / 4.0)
    assert math.dist(turned.start, turned.end) == pytest.approx(49.6)


def test_an_end_turns_a_star_s_axis_about_its_centre():
    held = handles_of(PLATE, Axis((1.0, 2.0), 0.0), turns=True)
    turned = held.dragged("start", (1.0, -50.0))
    assert turned.middle == (1.0, 2.0)
    assert turned.about.angle_rad == pytest.approx(math.pi / 2.0)
    assert turned.start[1] < turned.middle[1] < turned.end[1]


def test_a_centre_is_one_place_and_only_moves():
    held = handles_of(PLATE, (1.0, 2.0), turns=True)
    assert not held.has_axis
    assert held.dragged("end", (4.0, 4.0)).about == (4.0, 4.0)


def test_steps_stop_at_multiples_of_an_angle():
    turned = upright().dragged("end", (3.4, 30.0), math.radians(5.0))
    assert turned.about.angle_rad == pytest.approx(math.pi / 2.0, abs=1e-12)


@given(places, st.sampled_from(["start", "middle", "end"]), st.booleans())
def test_dragging_keeps_the_length_and_the_middle_on_the_axis(to, which, turns):
    held = handles_of(PLATE, Axis((3.0, 4.0), 0.3), turns=turns)
    moved = held.dragged(which, to)
    assert math.dist(moved.start, moved.end) == pytest.approx(math.dist(held.start, held.end))
    about = moved.about
    off = np.array(moved.end) - about.point
    assert off[0] * math.sin(about.angle_rad) == pytest.approx(
        off[1] * math.cos(about.angle_rad), abs=1e-7
    )


@given(places, st.floats(0.0, 3.0), places)
def test_mirroring_twice_and_turning_n_times_change_nothing(point, angle, place):
    start = np.array([place])
    axis = Axis(point, angle)
    np.testing.assert_allclose(copy_about(copy_about(start, axis, 2), axis, 2), start, atol=1e-9)
    turned = start
    for _ in range(5):
        turned = copy_about(turned, point, 5)
    np.testing.assert_allclose(turned, start, atol=1e-9)
