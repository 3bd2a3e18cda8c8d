"""Runs of a traced ring that nothing tells of are drawn on from what is beside them."""

import numpy as np
import pytest
import shapely
from shapely import Point, box

from geometry.outline.trace.corners import with_corners, with_hidden_corners


def ring_of(shape):
    """Points 2 px apart along a shape's rim, counter-clockwise."""
    rim = shapely.geometry.polygon.orient(shape).exterior
    return shapely.get_coordinates(rim.interpolate(np.arange(0.0, rim.length - 1.0, 2.0)))


@pytest.mark.parametrize(
    ("shape", "middle"),
    [(box(0, 0, 90, 70), (90.0, 70.0)), (Point(0, 0).buffer(20.0, quad_segs=90), (0.0, 20.0))],
    ids=["corner", "circle"],
)
def test_a_hidden_run_is_a_corner_or_goes_on_as_a_curve(shape, middle):
    truth = ring_of(shape)
    away = np.hypot(*(truth - middle).T)
    known = away > 14.0
    # What was read there instead lies well inside.
    read = np.where(known[:, None], truth, truth + 5.0 * (np.mean(truth, axis=0) - truth) / 30.0)
    drawn = with_hidden_corners(read, known, lambda place, off: True, side=1.0)
    assert shape.exterior.distance(shapely.points(drawn)).max() < 0.5


def test_a_circle_is_drawn_from_the_two_short_arcs_seen_of_it():
    truth = ring_of(Point(0, 0).buffer(40.0, quad_segs=90))
    known = np.abs(truth[:, 1]) > 36.0
    read = np.where(known[:, None], truth, truth * (0.5, 1.0))
    drawn = with_hidden_corners(read, known, lambda place, off: True, side=1.0)
    assert np.abs(np.hypot(*drawn.T) - 40.0).max() < 0.2


def test_a_corner_far_from_the_rough_edge_is_left_alone():
    truth = ring_of(box(0, 0, 90, 70))
    known = np.hypot(*(truth - (90.0, 70.0)).T) > 14.0
    drawn = with_hidden_corners(truth, known, lambda place, off: False, side=1.0)
    assert shapely.LinearRing(drawn).hausdorff_distance(shapely.LinearRing(truth)) < 1e-9


def test_a_short_side_next_to_a_hidden_corner_does_not_take_the_next_corner_for_a_bend():
    # Of the notch's end 12 px are seen, less than the run by which longer sides are drawn.
    ring = shapely.get_coordinates(box(0, 0, 90, 24).exterior.segmentize(1.0))[:-1][::-1]
    known = np.hypot(*(ring - (90.0, 24.0)).T) > 12.0
    read = np.where(known[:, None], ring, ring - (4.0, 4.0))
    drawn = with_hidden_corners(read, known, lambda place, off: True, side=1.0)
    assert shapely.LinearRing(ring).distance(shapely.points(drawn)).max() < 0.3


def test_sides_whose_corner_is_not_sharp_go_on_into_each_other():
    shape = box(0, 0, 90, 70).buffer(-8.0).buffer(8.0, quad_segs=90)
    truth = ring_of(shape)
    corners = shapely.MultiPoint([(0, 0), (90, 0), (90, 70), (0, 70)])
    away = shapely.distance(shapely.points(truth), corners)
    breaks = np.flatnonzero((away > 8.5) & (np.roll(away, -1) <= 8.5)) + 1
    runs = [
        run[shapely.distance(shapely.points(run), corners) > 8.5]
        for run in np.split(np.roll(truth, -breaks[0], axis=0), breaks[1:] - breaks[0])
    ]
    drawn = with_corners(runs, lambda place, ways: False)
    assert shape.exterior.distance(shapely.points(drawn)).max() < 1.3
    assert corners.distance(shapely.MultiPoint(drawn)) > 3.0
    sharp = with_corners(runs, lambda place, ways: True)
    assert corners.distance(shapely.MultiPoint(sharp)) < 0.1
