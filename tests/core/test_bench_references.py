"""A rectangle or a length of known size gives true scale, and says how sure it is."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.bench import (
    Camera,
    bench_from_length,
    bench_from_record,
    bench_from_rectangle,
    bench_to_record,
    focal_px_from_35mm,
)
from geometry.errors import BenchError

SIZE = (4032, 3024)
A5 = (210.0, 148.0)
SHEET = np.array([[0.0, 0.0], [210.0, 0.0], [210.0, 148.0], [0.0, 148.0]])


def looking_down(tilt_deg=10.0, about_deg=40.0, height_mm=420.0, focal_35mm=26.0):
    """Camera whose axis meets the bench at the sheet's middle."""
    tilt, about = np.radians([tilt_deg, about_deg])
    axis = np.array([np.cos(about), np.sin(about), 0.0])
    cross = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    turn = np.eye(3) + np.sin(tilt) * cross + (1 - np.cos(tilt)) * cross @ cross
    rotation = turn @ np.diag([1.0, -1.0, -1.0])
    translation = np.array([0.0, 0.0, height_mm]) - rotation @ np.array([105.0, 74.0, 0.0])
    focal = focal_px_from_35mm(focal_35mm, SIZE)
    return Camera(focal, (2015.5, 1511.5), 0.0, 0.0, rotation, translation)


@settings(max_examples=25, deadline=None)
@given(
    tilt=st.floats(0.0, 30.0),
    about=st.floats(0.0, 360.0),
    lift=st.floats(0.0, 8.0),
    face=st.floats(0.0, 12.0),
)
def test_rectangle_gives_back_places_at_any_tilt_and_height(tilt, about, lift, face):
    camera = looking_down(tilt, about)
    bench = bench_from_rectangle(
        SIZE, camera.project(SHEET, lift), *A5, focal_35mm=26.0, reference_height_mm=lift
    )
    places = np.array([[20.0, 30.0], [180.0, 120.0], [-30.0, 160.0]])
    found = bench.to_plane(camera.project(places, face), face)
    np.testing.assert_allclose(found, places, atol=1e-6)
    assert bench.report.tilt_deg == pytest.approx(tilt, abs=1e-5)


def test_corners_may_be_marked_either_way_round():
    corners = looking_down().project(SHEET)
    for order in ([0, 1, 2, 3], [3, 2, 1, 0], [2, 3, 0, 1], [1, 0, 3, 2]):
        bench = bench_from_rectangle(SIZE, corners[order], *A5, focal_35mm=26.0)
        found = bench.to_plane(corners)
        sides = np.roll(found, -1, axis=0) - found
        np.testing.assert_allclose(np.hypot(*sides.T), [210, 148, 210, 148], atol=1e-6)
        # Right-handed with z towards the camera: the corners keep running anticlockwise.
        assert sides[0, 0] * sides[1, 1] - sides[0, 1] * sides[1, 0] > 0.0
        assert bench.camera.position_mm[2] > 0.0


def test_unknown_focal_length_is_found_from_a_tilted_sheet_and_doubted_from_a_level_one():
    tilted = looking_down(25.0, 30.0, focal_35mm=30.0)
    bench = bench_from_rectangle(SIZE, tilted.project(SHEET), *A5)
    assert bench.camera.focal_px == pytest.approx(tilted.focal_px, rel=0.05)
    level = looking_down(0.0, focal_35mm=26.0).project(SHEET)
    known = bench_from_rectangle(SIZE, level, *A5, focal_35mm=26.0)
    guessed = bench_from_rectangle(SIZE, level, *A5)
    ends = ((50.0, 74.0), (150.0, 74.0))
    on_bench = guessed.length_uncertainty(*ends) / known.length_uncertainty(*ends)
    raised = guessed.length_uncertainty(*ends, 30.0) / known.length_uncertainty(*ends, 30.0)
    assert on_bench < 1.2
    assert raised > 2.0
    assert any("focal length" in warning for warning in guessed.report.warnings)
    assert not known.report.warnings


def test_stated_doubt_holds_what_marking_errors_do():
    camera = looking_down()
    rng = np.random.default_rng(11)
    ends = np.array([[30.0, 40.0], [180.0, 110.0]])
    true = float(np.hypot(*(ends[1] - ends[0])))
    seen = camera.project(ends)
    held = 0
    for _ in range(80):
        corners = camera.project(SHEET) + rng.normal(0.0, 0.5, (4, 2))
        bench = bench_from_rectangle(SIZE, corners, *A5, focal_35mm=26.0)
        a, b = bench.to_plane(seen)
        held += abs(np.hypot(*(b - a)) - true) <= bench.length_uncertainty(a, b)
    # 95 % of 80 is 76; the lens doubt carried too makes it hold more often, not less.
    assert held >= 72


def test_wrong_size_is_noticed():
    corners = looking_down(25.0).project(SHEET)
    bench = bench_from_rectangle(SIZE, corners, 148.0, 210.0, focal_35mm=26.0)
    assert any("which side" in warning for warning in bench.report.warnings)


@pytest.mark.parametrize(
    ("corners", "width", "words"),
    [
        ([[0, 0], [900, 0], [0, 600], [900, 600]], 100.0, "in turn"),
        ([[0, 0], [450, 0], [900, 0], [0, 600]], 100.0, "apart"),
        ([[0, 0], [900, 0], [900, 600]], 100.0, "3 marks"),
        ([[0, 0], [900, 0], [900, 600], [0, np.nan]], 100.0, "no places"),
        ([[0, 0], [900, 0], [900, 600], [0, 600]], 0.0, "above 0 mm"),
        ([[0, 0], [900, 0], [900, 600], [0, 600]], np.inf, "no more than 100 m"),
    ],
)
def test_corners_of_no_rectangle_are_refused_in_words(corners, width, words):
    with pytest.raises(BenchError, match=words):
        bench_from_rectangle(SIZE, corners, width, 70.0)


def test_length_is_kept_and_axes_are_the_photos():
    a, b = (1200.0, 1900.0), (2700.0, 1700.0)
    bench = bench_from_length(SIZE, a, b, 200.0, focal_35mm=26.0)
    ends = bench.to_plane([a, b])
    assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(200.0, abs=1e-9)
    np.testing.assert_allclose(ends[0], [0.0, 0.0], atol=1e-9)
    right, up = bench.to_plane([[a[0] + 100, a[1]], [a[0], a[1] - 100]])
    assert right[0] > 0.0
    assert up[1] > 0.0
    assert abs(right[1]) + abs(up[0]) < 1e-9


def test_length_on_a_raised_ruler_allows_for_its_height():
    camera = looking_down(0.0)
    a, b = camera.project([[40.0, 74.0], [170.0, 74.0]], 5.0)
    bench = bench_from_length(SIZE, a, b, 130.0, focal_35mm=26.0, reference_height_mm=5.0)
    for height in (0.0, 5.0, 12.0):
        ends = bench.to_plane(camera.project([[60.0, 30.0], [60.0, 110.0]], height), height)
        assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(80.0, abs=1e-6)


def test_length_doubt_covers_a_camera_held_two_degrees_off():
    off = looking_down(2.0, 75.0)
    seen = off.project([[30.0, 74.0], [180.0, 74.0]])
    bench = bench_from_length(SIZE, *seen, 150.0, focal_35mm=26.0)
    for ends in ([[60.0, 20.0], [60.0, 130.0]], [[150.0, 0.0], [190.0, 140.0]]):
        a, b = bench.to_plane(off.project(ends))
        true = np.hypot(*(np.array(ends[1]) - ends[0]))
        assert abs(np.hypot(*(b - a)) - true) < bench.length_uncertainty(a, b)


def test_marks_too_close_are_refused():
    with pytest.raises(BenchError, match="longer stretch"):
        bench_from_length(SIZE, (10.0, 10.0), (15.0, 10.0), 5.0)


def test_record_gives_the_bench_back_to_the_last_bit():
    corners = looking_down().project(SHEET)
    for bench in (
        bench_from_rectangle(SIZE, corners, *A5),
        bench_from_length(SIZE, corners[0], corners[1], 210.0),
    ):
        again = bench_from_record(bench_to_record(bench))
        assert again.report == bench.report
        assert again.size_px == bench.size_px
        np.testing.assert_array_equal(again.to_plane(corners, 3.0), bench.to_plane(corners, 3.0))
        ends = ((0.0, 0.0), (100.0, 30.0))
        assert again.length_uncertainty(*ends, 3.0) == bench.length_uncertainty(*ends, 3.0)


@pytest.mark.parametrize("damage", ["", "{}", "[1, 2]", "null", '{"size_px": 3}', "12"])
def test_damaged_record_is_refused(damage):
    with pytest.raises(BenchError, match="damaged"):
        bench_from_record(damage)


def test_record_with_numbers_missing_is_refused():
    bench = bench_from_length(SIZE, (1000.0, 1500.0), (2000.0, 1500.0), 100.0)
    record = bench_to_record(bench)
    for old, new in (('"size_px": [4032, 3024]', '"size_px": [4032]'), ('"k1": 0.0', '"k1": null')):
        assert old in record
        with pytest.raises(BenchError, match="damaged"):
            bench_from_record(record.replace(old, new))
