"""What the bench says of itself in words."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.bench import (
    Bench,
    BenchReport,
    Camera,
    Residuals,
    bench_from_length,
    report_in_words,
    warnings_at,
)
from geometry.bench.words import uneven_place

DOWN = np.diag([1.0, -1.0, -1.0])


def tipped(about_x_deg, about_y_deg):
    """Camera looking down on the bench, then turned about its own x and y axes."""
    a, b = np.radians([about_x_deg, about_y_deg])
    x = np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]])
    y = np.array([[np.cos(b), 0, np.sin(b)], [0, 1, 0], [-np.sin(b), 0, np.cos(b)]])
    return Camera(3000.0, (2000.0, 1500.0), 0.0, 0.0, x @ y @ DOWN, np.array([0.0, 0.0, 400.0]))


@pytest.mark.parametrize(
    ("turn", "edge_px", "side"),
    [
        ((9.0, 0.0), (2000.0, 0.0), "top"),
        ((-9.0, 0.0), (2000.0, 3000.0), "bottom"),
        ((0.0, 9.0), (0.0, 1500.0), "left"),
        ((0.0, -9.0), (4000.0, 1500.0), "right"),
    ],
)
def test_tilt_names_the_side_that_is_farther(turn, edge_px, side):
    camera = tipped(*turn)
    far = camera.unproject(np.array([edge_px]))[0]
    near = camera.unproject(2.0 * np.array([[2000.0, 1500.0]]) - edge_px)[0]
    eye = camera.position_mm
    is_far = np.linalg.norm([*far, 0] - eye) > np.linalg.norm([*near, 0] - eye)
    said = report_in_words(Bench((4001, 3001), camera))[0]
    opposite = {"top": "bottom", "bottom": "top", "left": "right", "right": "left"}
    assert f"tilted by 9°; its {side if is_far else opposite[side]} is farther" in said


def test_square_on_is_said_so():
    assert report_in_words(Bench((4001, 3001), tipped(0.0, 0.0)))[0].endswith("square-on.")


def test_a_raised_corner_is_found_and_noise_is_not():
    rng = np.random.default_rng(1)
    x, y = np.meshgrid(np.linspace(0, 4000, 40), np.linspace(0, 3000, 30))
    places = np.column_stack((x.ravel(), y.ravel()))
    noise = rng.normal(0.0, 0.3, places.shape)
    assert uneven_place(Residuals(places, noise, 0.1 * np.hypot(*noise.T))) is None
    bend = 4.0 * np.exp(-((places - [3700, 2700]) ** 2).sum(axis=1) / 500.0**2)
    bent = noise + bend[:, None] * [1.0, 0.0]
    found = uneven_place(Residuals(places, bent, 0.1 * np.hypot(*bent.T)))
    assert found is not None
    assert np.hypot(*(found[0] - [3700, 2700])) < 600
    assert 0.1 < found[1] < 0.4


def test_the_tilt_that_two_marks_cannot_tell_is_not_told_as_square_on():
    bench = bench_from_length((4000, 3000), (1000.0, 1500.0), (3000.0, 1500.0), 200.0)
    told = report_in_words(bench)
    assert not any("square-on" in one for one in told)
    assert any("cannot tell how the camera was tilted" in one for one in told)


def test_the_camera_s_unknown_height_is_told_of_the_mock_up_s_thickness():
    spread = np.zeros((9, 9))
    spread[6, 6], spread[5, 5] = 0.2**2, (0.2 * 400.0) ** 2
    spread[5, 6] = spread[6, 5] = 0.2**2 * 400.0
    told = (
        "The photo does not tell how high the camera was. On a face 5 mm …",
        "Another.",
        "A 100 mm length is only good to ± 0.01 mm.",
    )
    bench = Bench((4001, 3001), tipped(0.0, 0.0), BenchReport(warnings=told), spread)
    said = warnings_at(bench, 8.0)
    assert said[1] == "Another."
    assert "On a face 8 mm above the mat that adds ± " in said[0]
    # Similar triangles: a fifth of 8 / 392 of 100 mm, at 95 %.
    added = f"± {1.96 * 0.2 * 100.0 * 8.0 / 392.0:.2f} mm"
    assert added in said[0]
    assert added in said[2]
    assert warnings_at(bench, 0.0) == told[1:]
    assert warnings_at(replace(bench, report=BenchReport(warnings=told[1:2])), 8.0) == told[1:2]
