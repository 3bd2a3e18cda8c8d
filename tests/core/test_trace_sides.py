"""How broad a wall is seen, a hard shadow's rim, corners given back once, and noise in the dark."""

import importlib

import numpy as np
import pytest

from geometry.bench import Bench, Camera

band, corners, sides = (
    importlib.import_module(f"geometry.outline.trace.{name}")
    for name in ("band", "corners", "sides")
)
HEIGHT_MM, SHIFT_PX = 5.0, 13.0


def aslant():
    """A far camera that sees what is 5 mm high about 13 px aside of its foot."""
    tilt = np.radians(180.0) + np.arctan(SHIFT_PX / (HEIGHT_MM * 8.0))
    turn = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    camera = Camera(4e6, (200.0, 200.0), 0.0, 0.0, turn, np.array([0.0, 0.0, 5e5]))
    return Bench((401, 401), camera)


def circle(radius_px, count=400):
    turn = np.arange(count) * 2.0 * np.pi / count
    return 200.0 + radius_px * np.column_stack((np.cos(turn), np.sin(turn)))


def test_beside_the_way_it_leans_a_hole_shows_the_wall_of_its_other_stretches():
    bench, hole = aslant(), circle(16.0)
    outer = 200.0 + np.array([(-90.0, -90.0), (90.0, -90.0), (90.0, 90.0), (-90.0, 90.0)])
    shift = bench.to_photo(bench.to_plane(hole, HEIGHT_MM), 0.0) - hole
    length = float(np.hypot(*shift.T).mean())
    inward = (200.0 - hole) / 16.0
    width = sides.covered_by(bench, [outer, hole], HEIGHT_MM)._ends(hole, inward)
    across = int(np.argmin(np.abs((shift * inward).sum(axis=1))))
    assert width[across] == pytest.approx(16.0 - np.sqrt(16.0**2 - length**2), abs=0.5)
    facing = int(np.argmax((shift * inward).sum(axis=1)))
    assert width[facing] == pytest.approx(length, abs=0.3)


def test_a_part_on_the_bench_shows_no_wall():
    bench, ring = aslant(), circle(60.0)
    covered = sides.covered_by(bench, [ring], 0.0)
    width, is_held = covered.wall(ring, (ring - 200.0) / 60.0, np.zeros_like(ring))
    assert not width.any()
    assert not is_held.any()


def test_a_corner_is_given_back_once():
    side = np.arange(0.0, 60.0, 1.25)
    square = np.concatenate(
        [
            np.column_stack((side, 0 * side)),
            np.column_stack((0 * side + 60.0, side)),
            np.column_stack((60.0 - side, 0 * side + 60.0)),
            np.column_stack((0 * side, 60.0 - side)),
        ]
    )
    rounded = band.circular_smooth(square, 1.0)
    found, _, _ = corners.restored_corners(
        rounded, np.full(len(rounded), 0.12), np.zeros(len(rounded)), 0.9
    )
    for corner in ((0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0)):
        away = np.sort(np.hypot(*(found - corner).T))
        assert away[0] < 0.2
        assert away[1] > 2.0


def test_noise_is_measured_where_it_is_dark_whatever_is_drawn_there():
    rng = np.random.default_rng(3)
    light = np.full((600, 40, 3), 0.5)
    light[:, :15] = 0.02
    light[100:120, :15] = 0.01
    noisy = light + rng.normal(0.0, 0.004, light.shape)
    assert band._grain(noisy) == pytest.approx(0.004, rel=0.15)
