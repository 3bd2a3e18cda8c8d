"""Sizes of what is selected on an outline."""

import math

import numpy as np
import pytest

from geometry.outline import rectangle, regular_polygon, slot
from geometry.outline.curves.beziers import loop_to_knots
from geometry.outline.curves.sizes import selected_sizes, whole_sizes


def sizes(loop, *numbers):
    knots, _ = loop_to_knots(loop)
    selected = np.zeros(len(knots), dtype=bool)
    selected[list(numbers)] = True
    return [(s.kind, s.value) for s in selected_sizes(knots, selected)]


def test_an_edge_and_its_two_corners():
    found = sizes(rectangle(80.0, 50.0).outer, 0, 1)
    assert found[0] == ("length", pytest.approx(80.0))
    assert found[1:] == [("angle", pytest.approx(math.pi / 2))] * 2


def test_inner_angles_whichever_way_round():
    # Inner angle of a regular hexagon: 120°.
    loop = regular_polygon(6, 40.0).outer
    for way in (loop, loop.reversed()):
        (angle,) = sizes(way, 2)
        assert angle == ("angle", pytest.approx(2.0 * math.pi / 3.0))


def test_a_piece_of_an_arc_has_its_radius():
    found = dict(sizes(slot(60.0, 20.0).outer, 0, 1))
    assert found["radius"] == pytest.approx(10.0)
    # A knot every 45°.
    assert found["length"] == pytest.approx(10.0 * math.pi / 4.0)
    assert "angle" not in found


def test_the_whole():
    width, height = whole_sizes(rectangle(80.0, 50.0, (5.0, 5.0)).outer.nodes())
    assert (width.value, *width.where) == pytest.approx((80.0, 5.0, -20.0))
    assert (height.value, *height.where) == pytest.approx((50.0, 45.0, 5.0))


def test_one_knot_has_no_sizes():
    assert selected_sizes(np.zeros((1, 3, 2)), np.array([True])) == ()


@pytest.mark.parametrize("degrees", [0.0, 12.0, 45.0, 77.0, 90.0, 163.0])
def test_a_turned_part_is_as_large_as_a_caliper_says(degrees):
    part = rectangle(80.0, 50.0).rotated(math.radians(degrees)).moved(300.0, -20.0)
    width, height = whole_sizes(part.outer.nodes())
    assert (width.value, height.value) == pytest.approx((80.0, 50.0))
    # Where they are written: half the other side away from the middle.
    assert math.dist(width.where, (300.0, -20.0)) == pytest.approx(25.0)
    assert math.dist(height.where, (300.0, -20.0)) == pytest.approx(40.0)
