"""Exact shapes: true arcs, sizes as typed, and sizes that make no shape."""

import math

import pytest

from geometry.errors import OutlineError
from geometry.outline import (
    Arc,
    Line,
    Loop,
    Profile,
    arc_sector,
    circle,
    rectangle,
    regular_polygon,
    ring,
    slot,
)


def test_whole_circle_is_one_arc_of_a_full_turn():
    (arc,) = circle(20.0, (3.0, 4.0)).outer.segments
    assert isinstance(arc, Arc)
    assert (arc.center, arc.radius_mm) == ((3.0, 4.0), 10.0)
    assert arc.sweep_rad == pytest.approx(2.0 * math.pi)


def test_ring_has_one_arc_outside_and_one_inside():
    shape = ring(30.0, 10.0, (5.0, 0.0))
    assert [len(loop.segments) for loop in shape.loops] == [1, 1]
    assert shape.outer.signed_area_mm2 > 0.0 > shape.holes[0].signed_area_mm2


def test_a_sliver_flatter_than_the_tolerance_is_still_a_polygon():
    sliver = Profile(
        Loop((Arc.from_bulge((0.0, 0.0), (1.0, 0.0), 1e-4), Line((1.0, 0.0), (0.0, 0.0))))
    )
    assert 0.0 < sliver.polygon(0.01).area == pytest.approx(sliver.area_mm2, rel=0.3)


def test_rectangle_lies_about_its_centre():
    assert rectangle(40.0, 20.0, (10.0, -5.0)).bounds_mm == pytest.approx((-10, -15, 30, 5))


@pytest.mark.parametrize(("radius", "arcs", "lines"), [(0.0, 0, 4), (3.0, 4, 4), (10.0, 4, 2)])
def test_round_corners_of_a_rectangle(radius, arcs, lines):
    shape = rectangle(40.0, 20.0, (0.0, 0.0), radius)
    assert (shape.count(Arc), shape.count(Line)) == (arcs, lines)
    assert shape.area_mm2 == pytest.approx(800.0 - (4.0 - math.pi) * radius**2)


def test_slot_is_as_long_over_all_and_as_wide_as_typed_at_any_angle():
    shape = slot(30.0, 8.0, (2.0, 1.0), math.pi / 2.0)
    assert shape.bounds_mm == pytest.approx((-2.0, -14.0, 6.0, 16.0), abs=1e-3)
    assert (shape.count(Arc), shape.count(Line)) == (2, 2)
    assert shape.area_mm2 == pytest.approx(22.0 * 8.0 + 16.0 * math.pi)


def test_polygon_is_measured_across_corners_or_flats():
    corners, flats = regular_polygon(6, 20.0), regular_polygon(6, 20.0, across="flats")
    assert corners.bounds_mm[2] == pytest.approx(10.0)
    assert flats.bounds_mm[3] == pytest.approx(10.0)


def test_sector_whose_hole_has_no_radius_left_is_a_slice():
    # Half of the smallest number there is rounds to nothing.
    assert len(arc_sector(50.0, 5e-324, 0.0, 1.0).outer.segments) == 3


def test_sector_of_a_ring_has_two_arcs_and_two_lines():
    shape = arc_sector(40.0, 20.0, 0.2, 1.0)
    assert (shape.count(Arc), shape.count(Line)) == (2, 2)
    assert shape.area_mm2 == pytest.approx(0.5 * (400.0 - 100.0))


@pytest.mark.parametrize(
    ("make", "reason"),
    [
        (lambda: circle(0.0), "above 0 mm"),
        (lambda: circle(math.nan), "above 0 mm"),
        (lambda: ring(10.0, 10.0), "no room for a bore"),
        (lambda: ring(10.0, -1.0), "above 0 mm"),
        (lambda: rectangle(10.0, -2.0), "above 0 mm"),
        (lambda: rectangle(10.0, 8.0, (0.0, 0.0), 4.1), "corner radii from 0 to 4 mm"),
        (lambda: slot(8.0, 8.0), "longer than that"),
        (lambda: regular_polygon(2, 10.0), "at least 3 sides"),
        (lambda: arc_sector(10.0, 12.0, 0.0, 1.0), "inner diameter"),
        (lambda: arc_sector(10.0, 0.0, 0.0, 7.0), "less than 360"),
    ],
)
def test_sizes_that_make_no_shape_are_refused(make, reason):
    with pytest.raises(OutlineError, match=reason):
        make()
