"""A grid ends where its sheet ends; a wrong focal length is told; true reasons."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.bench import bench_from_grid
from geometry.bench.extent import are_continuous, supported_bounds
from geometry.bench.measure import Intervals, grid_intervals
from geometry.bench.priors import Priors
from tests.core.mat_pictures import Mat, Scene, look, mat_picture

SIZE = (1200, 900)


def chance(rng, intervals, share):
    return rng.random(len(intervals)) < share


def test_rows_seen_by_chance_are_not_printed():
    rng = np.random.default_rng(4)
    intervals = grid_intervals((-5, -4), (25, 24))
    on_sheet = ((intervals.start >= 0) & (intervals.end <= 20)).all(axis=1)
    seen = np.where(on_sheet, chance(rng, intervals, 0.95), chance(rng, intervals, 0.2))
    assert supported_bounds(intervals, seen, (-5, -4), (25, 24)) == ((0, 0), (20, 20))


def test_an_outer_row_under_a_mock_up_is_kept_by_what_is_seen_side_by_side():
    intervals = grid_intervals((0, 0), (20, 20))
    # The lowest two rows lie under it but for seven lines at one side.
    hidden = (intervals.start[:, 1] < 2) & (intervals.start[:, 0] > 6)
    assert supported_bounds(intervals, ~hidden, (0, 0), (20, 20)) == ((0, 0), (20, 20))


def test_printed_lines_go_on_and_chance_marks_do_not():
    rng = np.random.default_rng(5)
    intervals = grid_intervals((0, 0), (30, 30))
    smooth = 0.02 * intervals.start[:, 0] ** 1.5
    assert are_continuous(intervals, smooth, 40.0).all()
    anywhere = rng.uniform(-11.0, 11.0, len(intervals))
    # Each neighbour agrees by chance in a third of cases, one of two in a little more than half.
    assert are_continuous(intervals, anywhere, 40.0).mean() < 0.62
    alone = Intervals(intervals.start[:1], intervals.end[:1])
    assert not are_continuous(alone, np.zeros(1), 40.0).any()


@pytest.fixture(scope="module")
def board():
    """A checkerboard of 12 by 8 squares on grainy wood, tilted, the whole of it in the picture."""
    view = look(SIZE, 26.0, 18.0, 40.0, 12.0, 300.0, (60.0, 40.0))
    mat = Mat(size_mm=(120.0, 80.0), checker=True, ground=(30.0,) * 3, line=(220.0,) * 3)
    return view, mat_picture(view, mat, Scene(seed=3))


def test_a_board_on_a_grainy_desk_ends_at_its_edge(board):
    view, pixels = board
    bench = bench_from_grid(pixels, 10.0, focal_35mm=26.0)
    # Of the outermost squares only every second has an outer edge, so they may be left out.
    columns, rows = bench.report.squares_seen
    assert 10 <= columns <= 12
    assert 6 <= rows <= 8
    away = bench.to_plane(view.project(np.array([[20.0, 10.0], [100.0, 70.0]])))
    assert np.hypot(*(away[1] - away[0])) == pytest.approx(100.0, abs=0.05)


@pytest.fixture(scope="module")
def mat():
    view = look(SIZE, 26.0, 20.0, 70.0, 5.0, 330.0, (150.0, 110.0))
    return view, mat_picture(view, Mat(size_mm=(300.0, 220.0)), Scene(seed=7))


@pytest.mark.parametrize("written_35mm", [52.0, 15.0])
def test_a_focal_length_that_the_grid_contradicts_is_told_and_not_used(mat, written_35mm):
    view, pixels = mat
    bench = bench_from_grid(pixels, 10.0, focal_35mm=written_35mm)
    assert any("does not go with the grid" in warning for warning in bench.report.warnings)
    assert bench.camera.focal_px == pytest.approx(view.focal_px, rel=0.1)
    ends = view.project(np.array([[100.0, 60.0], [180.0, 120.0]]), 5.0)
    a, b = bench.to_plane(ends, 5.0)
    off = abs(np.hypot(*(b - a)) - 100.0)
    assert off < max(bench.length_uncertainty(a, b, 5.0), 0.02)


def test_an_impossible_focal_length_is_none_at_all():
    for written in (0.0, 1.0, 3.0, 8.0, 701.0, 8444.0, float("nan"), float("inf")):
        assert Priors.of_photo(SIZE, written) == Priors.of_photo(SIZE, None)


def test_a_photo_from_the_side_is_told_to_be_so():
    view = look(SIZE, 26.0, 40.0, 70.0, 5.0, 420.0, (150.0, 110.0))
    scene = replace(Scene(seed=7), noise=4.0, blur_px=1.5)
    bench = bench_from_grid(mat_picture(view, Mat(size_mm=(300.0, 220.0)), scene), 10.0)
    assert any("straighter above" in warning for warning in bench.report.warnings)


def test_a_panorama_is_told_to_be_one():
    view = look((1500, 500), 26.0, 3.0, 0.0, 2.0, 260.0, (200.0, 140.0))
    bench = bench_from_grid(mat_picture(view, Mat(), Scene()), 10.0, focal_35mm=26.0)
    assert any("as panoramas are" in warning for warning in bench.report.warnings)
