"""Several references in one photo: combined, and told when they disagree."""

import numpy as np
import pytest

from geometry.bench import bench_from_length
from geometry.bench.combining import KnownLength, bench_from_lengths, disagreement
from geometry.bench.sizes import ruler_tolerance_mm
from geometry.errors import BenchError

SIZE = (4000, 3000)
ACROSS = KnownLength((500.0, 500.0), (2500.0, 500.0), 200.0)
UPRIGHT = KnownLength((1000.0, 300.0), (1000.0, 2300.0), 200.0)


def test_lengths_that_agree_leave_less_doubt_and_no_remark():
    one = bench_from_lengths(SIZE, [ACROSS], focal_35mm=26.0)
    both = bench_from_lengths(SIZE, [ACROSS, UPRIGHT], focal_35mm=26.0)
    assert both.report.mm_per_px == pytest.approx(0.1, rel=1e-9)
    assert both.scale_doubt < one.scale_doubt
    assert both.report.nodes_used == 4
    assert not any("disagree" in w for w in both.report.warnings)


def test_the_surer_length_weighs_more():
    short = KnownLength((100.0, 100.0), (300.0, 100.0), 20.1)
    bench = bench_from_lengths(SIZE, [ACROSS, short], focal_35mm=26.0)
    # Weights go with the square of the length in pixels: 100 to 1.
    expected = 0.1 * np.exp(np.log(1.005) / 101.0)
    assert bench.report.mm_per_px == pytest.approx(expected, rel=1e-6)


def test_lengths_that_disagree_are_told_with_both_numbers_and_doubted():
    wrong = KnownLength(UPRIGHT.a_px, UPRIGHT.b_px, 210.0)
    bench = bench_from_lengths(SIZE, [ACROSS, wrong], focal_35mm=26.0)
    (told,) = (w for w in bench.report.warnings if "disagree" in w)
    assert "210 mm" in told
    assert "200 mm" in told
    assert "5.00 %" in told
    # Both lie within the stated 95 %.
    assert 1.96 * bench.scale_doubt > 0.0245


def test_no_length_is_refused():
    with pytest.raises(BenchError, match="No length"):
        bench_from_lengths(SIZE, [])


def test_a_second_reference_is_held_against_the_first():
    bench = bench_from_length(SIZE, ACROSS.a_px, ACROSS.b_px, 200.0, focal_35mm=26.0)
    near = ((600.0, 600.0), (2400.0, 600.0))
    assert disagreement(bench, *near, 180.0) == ""
    told = disagreement(bench, *near, 170.0)
    assert "170 ± " in told
    assert "180.00 ± " in told
    # A sheet cut 5 mm roughly explains it.
    assert disagreement(bench, *near, 170.0, doubt_mm=6.0) == ""


def test_a_lengths_own_tolerance_is_carried():
    sure = bench_from_length(SIZE, ACROSS.a_px, ACROSS.b_px, 200.0, focal_35mm=26.0)
    loose = bench_from_length(
        SIZE, ACROSS.a_px, ACROSS.b_px, 200.0, focal_35mm=26.0, tolerance_mm=0.5
    )
    # Any value within ± 0.5 mm as likely: 0.5 / sqrt(3) / 200.
    added = loose.scale_doubt**2 - sure.scale_doubt**2
    assert added == pytest.approx((0.5 / 3**0.5 / 200.0) ** 2)
    with pytest.raises(BenchError, match="0 mm or more"):
        bench_from_length(SIZE, ACROSS.a_px, ACROSS.b_px, 200.0, tolerance_mm=-1.0)


def test_unknown_ruler_class_is_refused():
    with pytest.raises(BenchError, match="I, II, III"):
        ruler_tolerance_mm(300.0, "IV")
