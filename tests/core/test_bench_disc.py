"""A disc of known diameter: its edge is found, and gives scale without taking a centre for it."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from geometry.bench import Camera
from geometry.bench.references import (
    KNOWN_DISCS,
    Marked,
    Settled,
    bench_from_marked,
    marked_from_record,
    marked_to_record,
    misfits,
    settle,
)
from geometry.errors import BenchError

SIZE = (1600, 1200)
COIN = KNOWN_DISCS["EUR1"]


def over(tilt_deg, about_deg=0.0):
    """A camera 350 mm over the bench's origin, tilted about a direction of the photo."""
    tilt, about = np.radians([tilt_deg, about_deg])
    c, s = np.cos(about), np.sin(about)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    c, s = np.cos(tilt), np.sin(tilt)
    rotation = turn @ np.array([[1, 0, 0], [0, c, -s], [0, s, c]]) @ turn.T
    return Camera(
        1200.0, (799.5, 599.5), 0.0, 0.0, rotation @ np.diag([1.0, -1.0, -1.0]),
        np.array([0.0, 0.0, 350.0]),
    )  # fmt: skip


FOCAL_35MM = 1200.0 * 43.2666 / 2000.0


def rim_px(camera, at_mm, diameter_mm, height_mm, count=8):
    turns = np.arange(count) * 2.0 * np.pi / count
    rim = np.asarray(at_mm) + diameter_mm / 2 * np.column_stack((np.cos(turns), np.sin(turns)))
    return camera.project(rim, height_mm)


def marked(camera, at_mm, known, **more):
    seen = rim_px(camera, at_mm, known.diameter_mm, known.thickness_mm)
    return Marked("DISC", tuple(map(tuple, seen)), (known.diameter_mm,), known.thickness_mm, **more)


def fitted(*references):
    return bench_from_marked(SIZE, [Settled(one) for one in references], focal_35mm=FOCAL_35MM)


def picture(camera, at_mm, known, rim=True, seed=2):
    """A pale disc with a rim and a stamped middle on a darker bench, each pixel of 16 samples."""
    rng = np.random.default_rng(seed)
    x, y = np.meshgrid(np.arange(SIZE[0]), np.arange(SIZE[1]))
    total = np.zeros(x.shape)
    for dx, dy in [(i / 4 + 0.125, j / 4 + 0.125) for i in range(-2, 2) for j in range(-2, 2)]:
        places = camera.unproject(
            np.column_stack((x.ravel() + dx, y.ravel() + dy)), known.thickness_mm
        )
        away = np.hypot(*(places - at_mm).T).reshape(x.shape)
        shade = np.where(away < known.diameter_mm / 2, 200.0, 90.0)
        if rim:
            shade = np.where(np.abs(away - 0.42 * known.diameter_mm) < 0.4, 165.0, shade)
        total += shade / 16.0
    total = cv2.GaussianBlur(total, (0, 0), 0.8) + rng.normal(0.0, 2.0, total.shape)
    return np.repeat(np.clip(np.rint(total), 0, 255).astype(np.uint8)[..., None], 3, axis=2)


@pytest.mark.parametrize("tilt_deg", [0.0, 12.0, 25.0])
def test_the_edge_found_is_the_ellipse_opencv_finds(tilt_deg):
    camera, at = over(tilt_deg, 30.0), np.array([20.0, 15.0])
    pixels = picture(camera, at, COIN)
    true = rim_px(camera, at, COIN.diameter_mm, COIN.thickness_mm, 4)
    by_hand = true + np.random.default_rng(3).uniform(-2.5, 2.5, true.shape)
    size = (COIN.diameter_mm,)
    one = Marked("DISC", tuple(map(tuple, by_hand)), size, COIN.thickness_mm, exact=True)
    found = np.array(settle(pixels, one).marked.marks_px)
    _, ink = cv2.threshold(pixels[..., 0], 145, 255, cv2.THRESH_BINARY)
    outlines, _ = cv2.findContours(ink, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    (x, y), (long, short), _ = cv2.fitEllipse(max(outlines, key=len))
    np.testing.assert_allclose(found.mean(axis=0), [x, y], atol=0.3)
    # Its contour runs through the middles of the outermost pixels: half a pixel inside.
    apart = np.hypot(*(found[:4] - found[4:]).T)
    assert apart.max() <= max(long, short) + 1.5
    assert apart.min() >= min(long, short) - 0.5
    # And every place is a radius from where the disc lies.
    away = np.hypot(*(camera.unproject(found, COIN.thickness_mm) - at).T)
    np.testing.assert_allclose(away, COIN.diameter_mm / 2, atol=0.06)


def test_the_ellipses_centre_is_not_taken_for_the_circles():
    # 120 mm wide and tilted by 25 degrees, the two are pixels apart.
    plate = Marked("DISC", tuple(map(tuple, rim_px(over(25.0), (0, 0), 120.0, 0.0))), (120.0,))
    bench = fitted(plate)
    # Alone it cannot tell which side is farther away: either is found, the other kept beside it.
    assert bench.report.tilt_deg == pytest.approx(25.0, abs=3.0)
    assert len(bench.others) == 1
    rim = bench.to_plane(np.array(plate.marks_px))
    x, y = rim.T
    p, q, _ = np.linalg.lstsq(np.column_stack((x, y, x * 0 + 1)), x * x + y * y, rcond=None)[0]
    middle = np.array([p, q]) / 2.0
    np.testing.assert_allclose(np.hypot(*(rim - middle).T), 60.0, atol=0.5)
    seen_center, _ = cv2.fitEllipse(np.array(plate.marks_px, np.float32))[:2]
    assert np.hypot(*(bench.to_plane([seen_center])[0] - middle)) > 1.5
    a, b = bench.to_plane(over(25.0).project(np.array([[0.0, 0.0], [40.0, 30.0]])))
    assert abs(np.hypot(*(b - a)) - 50.0) < bench.length_uncertainty(a, b)


def test_square_on_it_gives_the_scale_at_its_own_height():
    camera = over(0.0)
    bench = fitted(marked(camera, (10.0, 5.0), COIN))
    for height_mm in (0.0, COIN.thickness_mm, 6.0):
        seen = camera.project(np.array([[-20.0, 0.0], [40.0, 10.0]]), height_mm)
        a, b = bench.to_plane(seen, height_mm)
        assert np.hypot(*(b - a)) == pytest.approx(np.hypot(60.0, 10.0), abs=1e-3)
    assert any("tilted" in warning for warning in bench.report.warnings)


def test_stated_uncertainty_holds_over_discs_marked_by_hand():
    rng = np.random.default_rng(17)
    held = 0
    for _ in range(10):
        camera = over(abs(rng.normal(0.0, 5.0)), rng.uniform(0.0, 360.0))
        one = marked(camera, rng.uniform(-60, 60, 2), COIN, size_sigma=COIN.size.sigma)
        marks = np.array(one.marks_px) + rng.normal(0.0, 0.5, (8, 2))
        bench = fitted(replace(one, marks_px=tuple(map(tuple, marks))))
        ends = np.array([[-50.0, -30.0], [50.0, 30.0]])
        a, b = bench.to_plane(camera.project(ends))
        held += abs(np.hypot(*(b - a)) - np.hypot(100, 60)) <= bench.length_uncertainty(a, b)
    assert held >= 8


def test_several_discs_tell_the_tilt_together():
    camera = over(15.0, 40.0)
    places = [(-100.0, -70.0), (100.0, -60.0), (-90.0, 80.0), (95.0, 75.0)]
    bench = fitted(*(marked(camera, at, COIN) for at in places))
    assert bench.report.tilt_deg == pytest.approx(15.0, abs=2.0)
    a, b = bench.to_plane(camera.project(np.array([[-80.0, 0.0], [80.0, 20.0]])))
    off = abs(np.hypot(*(b - a)) - np.hypot(160.0, 20.0))
    assert off < bench.length_uncertainty(a, b) < 8.0


def test_a_disc_is_held_against_a_bench_and_kept():
    camera = over(10.0, 70.0)
    one = marked(camera, (30.0, -20.0), COIN)
    card = np.array([(-80.0, -50.0), (5.6, -50.0), (5.6, 3.98), (-80.0, 3.98)])
    sheet = Marked("RECTANGLE", tuple(map(tuple, camera.project(card))), (85.6, 53.98))
    (told,) = misfits(fitted(sheet), one)
    assert told.found_mm == pytest.approx(COIN.diameter_mm, abs=1e-4)
    assert marked_from_record(marked_to_record(one)) == one


@pytest.mark.parametrize(
    ("marks", "diameter_mm", "words"),
    [
        ([(10.0, 10.0), (30.0, 10.0)], 20.0, "three or more"),
        ([(10.0, 10.0), (60.0, 10.0), (110.0, 10.0)], 20.0, "one line"),
        ([(10.0, 10.0), (60.0, 10.0), (35.0, 40.0)], 0.0, "diameter"),
    ],
)
def test_what_is_no_disc_is_refused(marks, diameter_mm, words):
    with pytest.raises(BenchError, match=words):
        fitted(Marked("DISC", tuple(marks), (diameter_mm,)))


def test_where_no_round_edge_is_it_says_so():
    pixels = np.full((300, 400, 3), 120, np.uint8)
    pixels += np.random.default_rng(1).integers(0, 9, pixels.shape, dtype=np.uint8)
    marks = ((150.0, 100.0), (200.0, 150.0), (150.0, 200.0), (100.0, 150.0))
    with pytest.raises(BenchError, match="No clear round edge"):
        settle(pixels, Marked("DISC", marks, (23.25,), exact=True))
