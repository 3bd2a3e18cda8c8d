"""Further clicks: what they are on is put right as far as edges show, and nothing else changes."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from geometry.errors import TraceError
from geometry.outline.trace.bed import pixel_mm, predict_bed
from geometry.outline.trace.clicked import Clicks
from geometry.outline.trace.corrected import corrected
from geometry.outline.trace.ground import look_at_ground
from geometry.outline.trace.masks import labelled
from geometry.outline.trace.region import find_part
from geometry.outline.trace.rings import fine_rings
from tests.core.part_pictures import BLACK, KRAFT, RED, camera_over, grid_over, picture

SIZE, SCALE = (480, 420), 6.0
LINES = (0.4, 0.42, 0.38)
SHAPE = box(-22, -14, 22, 14) - Point(10, 4).buffer(5.0)
PRINT = box(-20, 2, -8, 10)
INSIDE = (0.0, -8.0)
LINE = 3
LAWS = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))


@lru_cache(maxsize=1)
def scene():
    """A printed part with a hole on a mat, the cut of it, and where its face truly is."""
    bench = grid_over(SIZE, SCALE)
    photo = picture(bench, SHAPE, face=KRAFT, grid=LINES, patches=[(PRINT, RED)])
    ground = look_at_ground(photo, bench, predict_bed(photo, bench))
    inside = tuple(bench.to_photo(np.array([INSIDE]))[0])
    return bench, inside, find_part(photo, bench, ground, Clicks(inside), 0.0)


def within(bench, cut, shape):
    places = bench.to_plane(cut.blocks.centers())
    return shapely.contains_xy(shape, *places.T).reshape(cut.part.shape)


def click_amid(cut, mask):
    """A place, px, amid the largest piece of some blocks."""
    labels = labelled(mask)
    largest = labels == np.bincount(labels[labels > 0]).argmax()
    rows, columns = np.nonzero(largest)
    middle = np.hypot(rows - rows.mean(), columns - columns.mean()).argmin()
    at = rows[middle] * mask.shape[1] + columns[middle]
    return tuple(cut.blocks.centers()[at]), largest


@LAWS
@given(
    st.floats(0.0, 2.0 * np.pi),
    st.floats(2.5, 5.0),
    st.booleans(),
)
def test_what_was_misjudged_about_the_rim_is_put_right_and_nothing_else(angle, radius, adding):
    bench, inside, cut = scene()
    way = np.array((np.cos(angle), np.sin(angle)))
    rim = shapely.LineString([(0, 0), 60.0 * way]).intersection(SHAPE.exterior)
    spot = within(bench, cut, rim.buffer(radius))
    wrong = replace(cut, part=cut.part & ~spot if adding else cut.part | spot)
    place, largest = click_amid(cut, cut.part ^ wrong.part)
    clicks = Clicks(inside, (place,) if adding else (), () if adding else (place,))
    mended = corrected(wrong, clicks, LINE, pixel_mm(bench, inside))
    changed = mended.part ^ wrong.part
    assert mended.part[cut.blocks.index_of(place)] == adding
    # Along the rim a block is half of either.
    rims = within(bench, cut, SHAPE.boundary.buffer(3.0 / SCALE))
    few = 0.02 * largest.sum()
    assert ((mended.part ^ cut.part) & largest & ~rims).sum() <= few
    assert (changed & ~(cut.part ^ wrong.part) & ~rims).sum() <= few


def test_print_taken_for_bench_is_added_as_far_as_it_reaches():
    bench, inside, cut = scene()
    ink = within(bench, cut, PRINT)
    place = tuple(bench.to_photo(np.array([PRINT.centroid.coords[0]]))[0])
    wrong = replace(cut, part=cut.part & ~ink)
    mended = corrected(wrong, Clicks(inside, (place,)), LINE, pixel_mm(bench, inside))
    assert (mended.part == cut.part).all()


def test_a_hole_taken_for_face_is_removed_as_far_as_it_reaches():
    bench, inside, cut = scene()
    hole = within(bench, cut, Point(10, 4).buffer(5.5))
    place = tuple(bench.to_photo(np.array([(10.0, 4.0)]))[0])
    wrong = replace(cut, part=cut.part | hole)
    mended = corrected(wrong, Clicks(inside, (), (place,)), LINE, pixel_mm(bench, inside))
    assert ((mended.part ^ cut.part) & hole).sum() <= 0.05 * hole.sum()


def test_where_no_edge_shows_nothing_is_added_or_removed():
    bench, inside, cut = scene()
    bare = tuple(bench.to_photo(np.array([(-28.0, 24.0)]))[0])
    with pytest.raises(TraceError, match="No edge shows how far"):
        corrected(cut, Clicks(inside, (bare,)), LINE, pixel_mm(bench, inside))
    amid = tuple(bench.to_photo(np.array([(-4.0, -4.0)]))[0])
    kept = corrected(cut, Clicks(inside, (), (amid,)), LINE, pixel_mm(bench, inside))
    assert (kept.part == cut.part).all()


def test_a_click_pulls_the_ring_over_an_edge_that_is_not_the_parts():
    """A band of ink along the rim, as dark as the bench: its inner edge is the plainest."""
    bench = camera_over((420, 360), 8.0, tilt_deg=3.0, turn_deg=20.0, lens=6.0)
    face = box(-14, -10, 14, 10)
    band = face - box(-14, -10, 13.4, 10)
    photo = picture(bench, face, face=KRAFT, bed=BLACK, patches=[(band, (0.035, 0.03, 0.03))])
    rough = Polygon(bench.to_photo(np.asarray(box(-14, -10, 13.5, 10).exterior.coords)[:-1]))
    inside, on_band = (tuple(bench.to_photo(np.array([at]))[0]) for at in ((0, 0), (13.7, 0.0)))
    (alone,) = fine_rings(photo, bench, None, rough, 0.0, Clicks(inside))
    (added,) = fine_rings(photo, bench, None, rough, 0.0, Clicks(inside, (on_band,)))
    assert not Polygon(alone.points).covers(Point(on_band))
    assert Polygon(added.points).covers(Point(on_band))
    (removed,) = fine_rings(photo, bench, None, rough, 0.0, Clicks(inside, (), (on_band,)))
    assert not Polygon(removed.points).covers(Point(on_band))
