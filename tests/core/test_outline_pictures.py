"""Tracing holds its accuracy on benches, colours and disturbances of many kinds."""

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, box

from geometry.errors import TraceError
from geometry.outline import trace, trace_preview
from tests.core.part_pictures import (
    DARK,
    DARKER,
    KRAFT,
    MAT,
    PALE,
    TAPE,
    WHITE,
    WOOD,
    camera_over,
    gaps,
    picture,
)

SIZE, SCALE = (440, 360), 8.0
CRADLE = (
    box(-20, -14, 20, 14) - Point(4, 14).buffer(10.0, quad_segs=90) - box(-14, -14.1, -11, -2)
) - Point(-10, 6).buffer(3.5, quad_segs=90)
PLATE = box(-16, -12, 16, 12)
CLICK = (8.0, -6.0)


def click_at(bench, place_mm, height_mm=0.0):
    return tuple(bench.to_photo(np.array([place_mm]), height_mm)[0])


CASES = {
    "white on pale": {"face": WHITE, "bed": PALE},
    "kraft on wood": {"face": KRAFT, "bed": WOOD, "grain": 0.12},
    "dark on dark": {"face": DARK, "bed": DARKER, "noise": 0.001},
    "cast shadow": {"face": KRAFT, "bed": PALE, "shadow": (1.2, -1.0)},
    "grid lines under the edge": {"face": WHITE, "bed": MAT, "grid": (0.5, 0.5, 0.4)},
    "pencil marks": {
        "lines": [([(-2, 2), (20, -1)], 0.4, (0.55, 0.55, 0.55)), ([(1, -12), (4, -6)], 0.5, DARK)]
    },
    "print": {"lines": [([(8, -9), (10, -9)], 0.9, (0.5, 0.05, 0.05))]},
}


@pytest.mark.parametrize("case", CASES)
def test_the_edge_is_found_within_a_tenth(case):
    bench = camera_over(SIZE, SCALE, tilt_deg=6.0, turn_deg=11.0)
    found = trace(picture(bench, CRADLE, **CASES[case]), bench, click_at(bench, CLICK))
    distance = gaps(found.polygon(0.005), CRADLE)
    assert np.percentile(distance, 95) <= 0.10
    assert distance.max() <= 0.3
    assert len(found.holes) == 1
    # Where a hard shadow's rim crosses the hole's, the circle is a few arcs.
    assert found.holes[0].is_circle or "shadow" in CASES[case]
    assert len(found.outer.segments) <= 14  # four sides, a scoop and a notch need ten


@pytest.mark.parametrize(("tilt_deg", "turn_deg"), [(15.0, 20.0)])
def test_the_top_edge_of_thick_foam_is_told_from_its_wall(tilt_deg, turn_deg):
    bench = camera_over(SIZE, 7.0, tilt_deg=tilt_deg, turn_deg=turn_deg)
    wall = (0.45, 0.45, 0.44)
    disc = PLATE.buffer(2.0, quad_segs=60) - Point(-2, 1).buffer(6.0, quad_segs=90)
    photo = picture(bench, disc, height_mm=5.0, wall=wall, shadow=(2.0, 1.0))
    found = trace(photo, bench, click_at(bench, (10.0, -6.0), 5.0), height_mm=5.0)
    distance = gaps(found.polygon(0.005), disc)
    assert np.percentile(distance, 95) <= 0.10
    assert distance.max() <= 0.3


@pytest.mark.parametrize(("radius", "blur_px"), [(6.0, 0.6), (6.0, 2.0), (16.0, 1.2)])
def test_blur_moves_no_disk_by_a_fiftieth(radius, blur_px):
    bench = camera_over(SIZE, SCALE)
    disk = Point(0.3, -0.2).buffer(radius, quad_segs=180)
    found = trace(picture(bench, disk, blur_px=blur_px), bench, click_at(bench, (0.0, 0.0)))
    assert found.outer.is_circle
    assert found.outer.segments[0].radius_mm == pytest.approx(radius, abs=0.02)


STRIP = box(8, 6, 16, 12)


def test_tape_at_the_edge_is_part_of_what_it_sticks_to():
    bench = camera_over(SIZE, SCALE)
    photo = picture(bench, PLATE, patches=[(STRIP, TAPE)])
    found = trace(photo, bench, click_at(bench, (-4.0, 0.0)))
    assert gaps(found.polygon(0.005), PLATE).max() <= 0.3


def test_a_second_click_adds_tape_that_looks_like_the_bench():
    bench = camera_over(SIZE, SCALE)
    photo = picture(bench, PLATE, patches=[(STRIP, (0.02, 0.06, 0.055))])
    click, tape = click_at(bench, (-4.0, 0.0)), click_at(bench, (12.0, 9.0))
    assert trace(photo, bench, click).area_mm2 < PLATE.area - 40.0
    found = trace(photo, bench, click, add_px=[tape])
    assert gaps(found.polygon(0.005), PLATE).max() <= 0.3
    assert len(found.outer.segments) <= 6


def test_a_second_click_removes_what_was_grabbed():
    bench = camera_over(SIZE, SCALE)
    hole = Point(5, 0).buffer(0.9, quad_segs=60)
    photo = picture(bench, PLATE - hole)
    click, place = click_at(bench, (-6.0, 0.0)), click_at(bench, (5.0, 0.0))
    assert trace(photo, bench, click).holes == ()
    (found,) = trace(photo, bench, click, remove_px=[place]).holes
    assert found.is_circle
    assert found.segments[0].radius_mm == pytest.approx(0.9, abs=0.03)
    with pytest.raises(TraceError, match="no other colour"):
        trace(photo, bench, click, remove_px=[click_at(bench, (-10.0, 5.0))])


def test_an_added_place_must_touch_the_part():
    bench = camera_over(SIZE, SCALE)
    two = box(-22, -10, -2, 10).union(box(8, -10, 22, 10))
    photo = picture(bench, two)
    with pytest.raises(TraceError, match="does not touch"):
        trace(photo, bench, click_at(bench, (-12.0, 0.0)), add_px=[click_at(bench, (15.0, 0.0))])


def test_holes_below_the_given_size_are_dropped():
    bench = camera_over(SIZE, SCALE)
    shape = PLATE - Point(-6, 0).buffer(0.8) - Point(6, 0).buffer(3.0)
    photo, click = picture(bench, shape), click_at(bench, (0.0, 0.0))
    counts = [len(trace(photo, bench, click, smallest_hole_mm=s).holes) for s in (1.0, 3.0, 8.0)]
    assert counts == [2, 1, 0]


TOUCHING = box(-18, -10, 0, 10).union(box(0, 8, 18, 20))


@pytest.mark.parametrize(
    "look",
    [
        {"lines": [([(0.0, 7.0), (0.0, 11.0)], 0.2, (0.4, 0.4, 0.4))]},
        {"lines": [([(0.0, 7.0), (0.0, 11.0)], 0.3, DARK)]},
        {"patches": [(box(0.0, 8.0, 18.0, 20.0), PALE)]},
    ],
    ids=["faint seam", "dark seam", "other colour"],
)
def test_of_two_parts_that_touch_the_clicked_one_is_traced(look):
    bench = camera_over(SIZE, SCALE)
    found = trace(picture(bench, TOUCHING, **look), bench, click_at(bench, (-9.0, 0.0)))
    assert found.area_mm2 == pytest.approx(18.0 * 20.0, rel=0.01)


def test_a_further_click_cuts_off_what_touches_without_a_seam():
    bench = camera_over(SIZE, SCALE)
    photo, click = picture(bench, TOUCHING), click_at(bench, (-9.0, 0.0))
    assert trace(photo, bench, click).area_mm2 == pytest.approx(TOUCHING.area, rel=0.01)
    found = trace(photo, bench, click, remove_px=[click_at(bench, (9.0, 14.0))])
    assert found.area_mm2 == pytest.approx(18.0 * 20.0, rel=0.01)
    assert len(found.outer.segments) <= 7


@pytest.mark.parametrize("neck_mm", [1.6])
def test_a_part_with_a_thin_neck_is_one_part(neck_mm):
    bench = camera_over(SIZE, SCALE)
    waist = box(-4.0, -neck_mm / 2.0, 4.0, neck_mm / 2.0)
    shape = shapely.union_all([box(-18, -10, -3, 10), waist, box(3, -10, 18, 10)])
    found = trace(picture(bench, shape), bench, click_at(bench, (-9.0, 0.0)))
    away = gaps(found.polygon(0.001), shape)
    assert np.percentile(away, 95) <= 0.1
    assert away.max() <= 0.3


def test_a_part_cut_off_by_the_frame_is_named():
    bench = camera_over(SIZE, SCALE)
    with pytest.raises(TraceError, match="runs over the left edge"):
        trace(picture(bench, box(-40, -8, -8, 8)), bench, click_at(bench, (-15.0, 0.0)))


def test_a_photo_of_one_colour_has_no_contrast():
    bench = camera_over(SIZE, SCALE)
    with pytest.raises(TraceError, match="no contrast"):
        trace(np.full((360, 440, 3), 90, dtype=np.uint8), bench, (200.0, 200.0))


@pytest.mark.parametrize("place", [(np.nan, 10.0), (10.0, np.inf)])
def test_a_place_that_is_none_is_refused(place):
    bench = camera_over(SIZE, SCALE)
    with pytest.raises(TraceError, match="is no place"):
        trace(np.zeros((360, 440, 3), dtype=np.uint8), bench, place)


def test_pixels_that_are_no_photo_are_refused():
    bench = camera_over(SIZE, SCALE)
    with pytest.raises(TraceError, match="whole numbers"):
        trace(np.full((360, 440, 3), np.nan), bench, (200.0, 200.0))


def test_the_preview_is_near_the_part():
    bench = camera_over(SIZE, SCALE)
    photo = picture(bench, CRADLE)
    rough = Polygon(trace_preview(photo, bench, click_at(bench, CLICK)))
    outer = Polygon(CRADLE.exterior)
    assert rough.intersection(outer).area / rough.union(outer).area > 0.97
    with pytest.raises(TraceError, match="outside the photo"):
        trace_preview(photo, bench, (-50.0, 10.0))


@pytest.mark.parametrize(
    ("look", "kinds"),
    [
        ({"lines": [([(0.0, 7.0), (0.0, 11.0)], 0.4, DARK)]}, ["seam"]),
        ({}, ["neck"]),
    ],
    ids=["seam", "no seam"],
)
def test_where_two_parts_may_touch_a_doubt_is_told(look, kinds):
    bench = camera_over(SIZE, SCALE)
    doubts = []
    trace(picture(bench, TOUCHING, **look), bench, click_at(bench, (-9.0, 0.0)), doubts=doubts)
    # Where the seam's ends nick the rim, that may be doubtful too.
    assert [doubt.kind for doubt in doubts if doubt.kind not in ("faint", "ambiguous")] == kinds
    place = bench.to_plane(np.array([doubts[0].place]))[0]
    assert np.hypot(*(place - (0.0, 9.0))) < 3.0


def test_a_whole_part_leaves_no_doubt():
    bench = camera_over(SIZE, SCALE)
    doubts = []
    lines = [([(-30.0, 2.0), (30.0, -3.0)], 0.5, DARK)]
    trace(picture(bench, PLATE, lines=lines), bench, click_at(bench, (-9.0, 8.0)), doubts=doubts)
    assert not doubts
