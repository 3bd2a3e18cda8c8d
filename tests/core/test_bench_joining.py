"""Two photos of a mock-up longer than either become one picture at true scale.

The photos are made here with cameras that are known, so that the truth is, too.
"""

from functools import cache

import numpy as np
import pytest

from geometry.bench import bench_from_grid, bench_from_lengths
from geometry.bench.joining import join_photos, lying_by_marks, lying_by_picture
from geometry.bench.references import KnownLength
from geometry.errors import BenchError
from geometry.photo import Photo
from tests.core.long_mockup import FACE, LEFT, PITCH_MM, RIGHT, photographed, turned

HEIGHT_MM = 0.5
FLIPPED = turned(RIGHT, np.pi)


CAMERAS = {"right": RIGHT, "upside down": FLIPPED}


@cache
def pair(second):
    """Photos from the left and from the right, held either way, with benches and cameras."""
    cameras = (LEFT, CAMERAS[second])
    photos = tuple(
        photographed(camera, height_mm=HEIGHT_MM, brightness=brightness, seed=seed)
        for camera, brightness, seed in zip(cameras, (1.0, 0.8), (1, 2), strict=True)
    )
    return photos, tuple(bench_from_grid(photo.pixels, PITCH_MM) for photo in photos), cameras


@cache
def joined_from(second):
    """How the photos lie and what they make together."""
    photos, benches, _ = pair(second)
    lying = lying_by_picture(photos, benches, height_mm=HEIGHT_MM)
    return lying, join_photos(photos, benches, lying, height_mm=HEIGHT_MM)


ON_MAT = np.array([(-40.0, 30.0), (30.0, -40.0), (60.0, 50.0)])


@pytest.mark.parametrize("second", CAMERAS)
def test_what_lies_on_the_mat_tells_how_the_photos_go_together(second):
    _, benches, cameras = pair(second)
    lying, _ = joined_from(second)
    ours = benches[0].to_plane(cameras[0].project(ON_MAT))
    theirs = benches[1].to_plane(cameras[1].project(ON_MAT))
    assert lying.by_grid
    assert np.hypot(*(lying.to_first(theirs) - ours).T).max() < 0.05
    assert np.allclose(lying.to_second(lying.to_first(theirs)), theirs)


@pytest.mark.parametrize("second", CAMERAS)
def test_lengths_across_the_seam_are_true(second):
    _, benches, cameras = pair(second)
    lying, joined = joined_from(second)
    # The face's ends are each in one photo alone; where they are in the picture follows from them.
    ends = np.array([FACE[0], FACE[1]])
    first = benches[0].to_plane(cameras[0].project(ends[:1], HEIGHT_MM), HEIGHT_MM)
    other = benches[1].to_plane(cameras[1].project(ends[1:], HEIGHT_MM), HEIGHT_MM)
    places = np.vstack((first, lying.to_first(other)))
    assert np.hypot(*(places[1] - places[0])) == pytest.approx(360.0, abs=0.1)
    # A pixel of the picture shows there what the photos show: card on one side, mat on the other.
    for place, outwards in zip(places, (-1.0, 1.0), strict=True):
        steps = np.array([(-3.0 * outwards, 6.0), (3.0 * outwards, 6.0)])
        seen = joined.bench.to_photo(place + steps, HEIGHT_MM)
        inside, outside = (
            joined.photo.pixels[round(y), round(x)].astype(int) for x, y in seen.tolist()
        )
        assert inside[0] > outside[0] + 40
    assert joined.bench.size_px == joined.photo.size_px
    assert joined.shared > 100
    assert joined.apart_mm < 0.05
    assert len(joined.bench.residuals) > 500


def test_the_same_light_on_both_sides_of_the_seam():
    _, benches, _ = pair("right")
    _, joined = joined_from("right")
    face = np.array([(x, -20.0) for x in np.linspace(-150.0, 150.0, 40)])
    own = benches[0].to_plane(LEFT.project(face, HEIGHT_MM), HEIGHT_MM)
    x, y = np.round(joined.bench.to_photo(own, HEIGHT_MM)).astype(int).T
    green = joined.photo.pixels[y, x, 1].astype(float)
    # The second photo is a fifth darker; what is left is its light falling off.
    assert green.max() - green.min() < 0.12 * green.mean()


def test_uncertainty_is_that_of_the_worse_photo_or_more():
    _, benches, _ = pair("right")
    joined = joined_from("right")[1].bench
    worse = max(bench.expanded_uncertainty_per_100_mm(HEIGHT_MM) for bench in benches)
    assert joined.expanded_uncertainty_per_100_mm(HEIGHT_MM) >= 0.99 * worse


def test_two_marks_tell_it_too_and_a_hand_need_not_be_exact():
    _, benches, cameras = pair("upside down")
    by_picture, _ = joined_from("upside down")
    marked = [
        camera.project(ON_MAT[:2]) + off for camera, off in zip(cameras, (3.0, -2.0), strict=True)
    ]
    by_marks = lying_by_marks(*benches, *marked)
    assert by_marks.by_grid
    assert np.allclose(by_marks.shift_mm, by_picture.shift_mm, atol=1e-3)
    assert 0.2 < by_marks.apart_mm < 2.5


def test_marks_of_different_places_are_refused():
    _, benches, cameras = pair("right")
    marked = [camera.project(ON_MAT[:2]) for camera in cameras]
    marked[1] = cameras[1].project(ON_MAT[:2] + np.array([(0.0, 0.0), (10.0, 0.0)]))
    with pytest.raises(BenchError, match="Mark the same two places"):
        lying_by_marks(*benches, *marked)
    with pytest.raises(BenchError, match="Mark two places"):
        lying_by_marks(*benches, marked[0][:1], marked[1][:1])


def test_without_a_grid_marks_give_turn_and_shift_and_what_they_miss():
    # Two photos with a ruler in each, seen square-on: 0.2 mm a pixel, the second turned by 30°.
    marks = np.array([(300.0, 500.0), (800.0, 500.0)])
    size = (1200, 1000)
    c, s = np.cos(np.pi / 6), np.sin(np.pi / 6)
    other = (marks - (550.0, 500.0)) @ np.array([[c, s], [-s, c]]) + (600.0, 480.0)
    benches = [
        bench_from_lengths(size, [KnownLength(tuple(px[0]), tuple(px[1]), 100.0)])
        for px in (marks, other)
    ]
    lying = lying_by_marks(*benches, marks, other)
    assert not lying.by_grid
    assert lying.apart_mm < 0.01
    assert np.allclose(
        lying.to_first(benches[1].to_plane(other)), benches[0].to_plane(marks), atol=0.01
    )
    with pytest.raises(BenchError, match="Only photos of a gridded mat"):
        lying_by_picture(tuple(map(blank, (size, size))), tuple(benches))


def blank(size):
    return Photo(np.full((size[1], size[0], 3), 120, dtype=np.uint8))


def test_bare_mat_does_not_tell_and_says_what_to_do():
    photos = tuple(
        photographed(camera, bare=True, seed=k) for k, camera in enumerate((LEFT, RIGHT))
    )
    benches = tuple(bench_from_grid(photo.pixels, PITCH_MM) for photo in photos)
    with pytest.raises(BenchError, match="does not show how the photos go together"):
        lying_by_picture(photos, benches)


def test_photos_that_share_nothing_are_refused():
    photos, benches, _ = pair("right")
    lying, _ = joined_from("right")
    far = type(lying)(lying.turn_rad, (lying.shift_mm[0] + 450.0, lying.shift_mm[1]), by_grid=True)
    with pytest.raises(BenchError, match="nothing of the bench in common"):
        join_photos(photos, benches, far)
    farther = type(lying)(lying.turn_rad, (1e6, 0.0), by_grid=True)
    with pytest.raises(BenchError, match="too large"):
        join_photos(photos, benches, farther)


def test_thick_faces_are_joined_though_the_grid_under_them_is_not():
    thick_mm = 5.0
    photos = tuple(
        photographed(camera, height_mm=thick_mm, seed=k) for k, camera in enumerate((LEFT, RIGHT))
    )
    benches = tuple(bench_from_grid(photo.pixels, PITCH_MM) for photo in photos)
    lying = lying_by_picture(photos, benches, height_mm=thick_mm)
    joined = join_photos(photos, benches, lying, height_mm=thick_mm)
    assert len(joined.bench.residuals) == 0
    ends = np.array([FACE[0], FACE[1]])
    first = benches[0].to_plane(LEFT.project(ends[:1], thick_mm), thick_mm)
    other = lying.to_first(benches[1].to_plane(RIGHT.project(ends[1:], thick_mm), thick_mm))
    assert np.hypot(*(other - first)[0]) == pytest.approx(360.0, abs=0.3)
