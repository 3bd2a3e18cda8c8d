"""Fine and bold lines are told apart, and it is asked which of them the pitch is between."""

import pytest

from geometry.bench import bench_from_grid, bench_from_record, bench_to_record
from geometry.bench.levels import readings, which_lines
from tests.core.mat_pictures import Mat, Scene, look, mat_picture

SIZE = (1344, 1008)
PALE, BROWN = (224.0, 226.0, 212.0), (179.0, 140.0, 120.0)
GRAPH = Mat((300.0, 200.0), 10.0, 0.3, 5, 0.45, 10, PALE, BROWN)
CHART = Mat((210.0, 140.0), 1.0, 0.12, 5, 0.3)


def picture_of(mat, away_mm):
    view = look(SIZE, 26.0, 5.0, 40.0, 7.0, away_mm, (mat.size_mm[0] / 2, mat.size_mm[1] / 2))
    return view, mat_picture(view, mat, Scene())


def length_of_100(bench, view):
    ends = bench.to_plane(view.project([[100.0, 80.0], [200.0, 80.0]]))
    return float(((ends[1] - ends[0]) ** 2).sum() ** 0.5)


def test_lines_a_few_pixels_apart_are_told_and_those_that_can_be_followed_are_measured():
    # Ten finer lines to a square, 4.5 px apart: too near each other to be followed.
    view, picture = picture_of(GRAPH, 210.0)
    bench = bench_from_grid(picture, 10.0, focal_35mm=26.0)
    assert bench.report.line_levels == (0.1, 1.0, 5.0)
    assert length_of_100(bench, view) == pytest.approx(100.0, abs=0.05)
    assert bench_from_record(bench_to_record(bench)).report == bench.report


def test_chart_paper_with_its_bold_pitch_typed_is_asked_about_and_then_right():
    """Paper for heart recorders has lines every 1 mm, every fifth bold (common practice)."""
    view, picture = picture_of(CHART, 95.0)
    taken = bench_from_grid(picture, 5.0, focal_35mm=26.0)
    assert taken.report.line_levels == (1.0, 5.0)
    assert "which of them are 5 mm apart" in taken.report.warnings[0]
    told = bench_from_grid(picture, 5.0, focal_35mm=26.0, spacing=5.0)
    ends = told.to_plane(view.project([[90.0, 70.0], [120.0, 70.0]]))
    assert ends[1, 0] - ends[0, 0] == pytest.approx(30.0, abs=0.05)
    assert not any("which of them" in warning for warning in told.report.warnings)


def test_an_even_grid_has_one_kind_of_lines():
    _, picture = picture_of(
        Mat((300.0, 200.0), 10.0, bold_every=0, diagonals=True, numbers=True), 260.0
    )
    report = bench_from_grid(picture, 10.0, focal_35mm=26.0).report
    assert report.line_levels == (1.0,)


@pytest.mark.parametrize(
    ("levels", "pitch_mm", "is_asked"),
    [
        ((1.0,), 10.0, False),
        ((1.0, 5.0), 10.0, False),
        ((1.0, 5.0), 1.0, False),
        ((1.0, 5.0), 5.0, True),
        ((1.0, 10.0), 10.0, True),
        ((1.0, 2.0), 10.0, True),
        ((1.0, 2.0), 5.0, False),
        ((0.1, 1.0, 5.0), 10.0, False),
        ((1.0, 4.0), 6.35, False),
        ((1.0, 4.0), 25.4, True),
    ],
)
def test_what_is_unusual_or_usual_in_two_ways_is_asked(levels, pitch_mm, is_asked):
    assert (which_lines(levels, pitch_mm) is not None) is is_asked
    assert all(pitch_mm in spacings for spacings in readings(levels, pitch_mm))
