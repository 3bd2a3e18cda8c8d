"""What a printed sheet strays by itself, and light that spreads into a checkerboard's squares."""

import numpy as np
import pytest

from geometry.bench import Bench, Camera
from geometry.bench.adjust import Adjusted
from geometry.bench.design_effect import shared_errors
from geometry.bench.measure import Strokes, grid_intervals
from geometry.bench.priors import Priors
from geometry.bench.record import bench_from_record, bench_to_record
from geometry.bench.unevenness import Unevenness, light_spread, unevenness
from geometry.errors import BenchError

PITCH_MM, MM_PER_PX = 10.0, 0.2
CAMERA = Camera(
    3000.0, (2015.5, 1511.5), 0.0, 0.0, np.diag([1.0, -1.0, -1.0]), np.array([-150.0, 110.0, 600.0])
)
"""Straight above a grid of 300 × 220 mm, 0.2 mm a pixel."""


def seen(residuals_px):
    intervals = grid_intervals((0, 0), (30, 22))
    start, end = intervals.start * PITCH_MM, intervals.end * PITCH_MM
    level = intervals.start[:, 1] == intervals.end[:, 1]
    normals = np.where(level[:, None], (0.0, 1.0), (1.0, 0.0))
    middles = (start + end) / 2.0
    strokes = Strokes(CAMERA.project(middles), normals, np.ones(len(level)), middles)
    off = residuals_px(middles)
    return Adjusted(CAMERA, off, np.ones(len(off)), np.eye(13), 0.1), intervals, strokes


def stray_of(residuals_px):
    fit, intervals, strokes = seen(residuals_px)
    believed = Priors.of_photo((4032, 3024), 26.0).for_a_grid()
    shared = shared_errors(fit, intervals, strokes, believed, 1.0)
    return unevenness(fit, intervals, strokes, PITCH_MM, shared), shared


def test_noise_of_the_picture_is_no_unevenness():
    rng = np.random.default_rng(5)
    stray, shared = stray_of(lambda middles: rng.normal(0.0, 0.5, len(middles)))
    assert stray.sigma_mm < 0.3 * 0.5 * MM_PER_PX
    assert shared.lines_px2 < (0.3 * 0.5) ** 2


def test_lines_printed_astray_are_told_from_noise_and_count_less_than_a_wave():
    rng = np.random.default_rng(5)
    off = rng.normal(0.0, 0.4, (2, 31))

    def astray(middles):
        level = middles[:, 0] % PITCH_MM > 0.25 * PITCH_MM
        line = np.where(level, middles[:, 1], middles[:, 0]) // PITCH_MM
        return off[level.astype(int), line.astype(int)] + rng.normal(0.0, 0.2, len(middles))

    stray, shared = stray_of(astray)
    assert shared.lines_px2**0.5 == pytest.approx(0.4, rel=0.3)
    assert stray.sigma_mm < 0.4 * MM_PER_PX
    # Many lines: an interval's error counts far less than if the whole line's were its own.
    plain, _ = stray_of(lambda middles: rng.normal(0.0, 0.2, len(middles)))
    assert stray.sigma_mm > 3.0 * plain.sigma_mm


def test_a_wave_of_the_sheet_is_told_from_noise():
    rng = np.random.default_rng(5)

    def wavy(middles):
        wave = np.sqrt(2.0) * 0.8 * np.sin(2.0 * np.pi * middles[:, 0] / 120.0)
        return wave + rng.normal(0.0, 0.5, len(middles))

    stray, _ = stray_of(wavy)
    # What is the same along a line may be its print, and counts besides: a quarter too much here.
    assert 0.95 < stray.sigma_mm / (0.8 * MM_PER_PX) < 1.35
    bench = Bench((4032, 3024), CAMERA, unevenness=stray)
    # Both ends of a length are off by it, each by its own; of none it adds nothing.
    stated = bench.length_uncertainty((0.0, 0.0), (100.0, 0.0))
    assert stated == pytest.approx(1.96 * np.sqrt(2.0) * stray.sigma_mm)
    assert bench.length_uncertainty((0.0, 0.0), (0.0, 0.0)) == 0.0
    assert bench_from_record(bench_to_record(bench)).unevenness == stray


def test_a_damaged_record_of_unevenness_is_refused():
    record = bench_to_record(Bench((4032, 3024), CAMERA, unevenness=Unevenness(0.1, 10.0)))
    with pytest.raises(BenchError, match="Find the grid again"):
        bench_from_record(record.replace("[0.1, 10.0]", "[-0.1, 10.0]"))


def test_light_that_spreads_into_dark_squares_is_found_to_one_side_and_the_other_in_turn():
    rng = np.random.default_rng(5)
    fit, intervals, _ = seen(lambda middles: rng.normal(0.0, 0.1, len(middles)))
    level = intervals.start[:, 1] == intervals.end[:, 1]
    # Towards the plane's lower side and its right, the square (i, j) dark where i + j is even.
    towards = np.where(level, intervals.start.sum(axis=1) + 1, intervals.start.sum(axis=1))
    fit.residuals_px[:] += np.where(towards % 2 == 0, 0.6, -0.6)
    spread = light_spread(intervals, fit)
    np.testing.assert_allclose(spread, np.where(towards % 2 == 0, 0.6, -0.6), atol=0.02)
