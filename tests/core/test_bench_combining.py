"""Several references in one photo: combined, and told when they disagree."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.bench import Camera, bench_from_length
from geometry.bench.references import (
    KnownLength,
    bench_from_lengths,
    disagreement,
    ruler_tolerance_mm,
)
from geometry.errors import BenchError

SIZE = (4000, 3000)
ACROSS = KnownLength((500.0, 500.0), (2500.0, 500.0), 200.0)
UPRIGHT = KnownLength((1000.0, 300.0), (1000.0, 2300.0), 200.0)


def sigma_mm(bench, length_mm=200.0):
    """Standard deviation of the first length itself."""
    return bench.length_uncertainty((0.0, 0.0), (length_mm, 0.0)) / 1.96


def test_lengths_that_agree_leave_less_doubt_and_no_remark():
    one = bench_from_lengths(SIZE, [ACROSS], focal_35mm=26.0)
    both = bench_from_lengths(SIZE, [ACROSS, UPRIGHT], focal_35mm=26.0)
    assert both.report.mm_per_px == pytest.approx(0.1, rel=1e-6)
    middle = ((100.0, -50.0), (100.0, -150.0))
    assert both.length_uncertainty(*middle) < 0.8 * one.length_uncertainty(*middle)
    assert both.report.nodes_used == 4
    assert not any("check what was typed" in w for w in both.report.warnings)


def test_the_surer_length_weighs_more():
    # The same two places by a mark ten times as rough: weights go with the square, 100 to 1.
    rough = replace(ACROSS, length_mm=201.0, marked_px=5.0)
    bench = bench_from_lengths(SIZE, [ACROSS, rough], focal_35mm=26.0)
    found = bench.to_plane([ACROSS.a_px, ACROSS.b_px])
    expected = 200.0 * np.exp(np.log(1.005) / 101.0)
    assert np.hypot(*(found[1] - found[0])) == pytest.approx(expected, rel=1e-6)


def tilted(tilt_deg, about_deg):
    """A camera 400 mm over the bench, tilted about a direction of the photo."""
    tilt, about = np.radians([tilt_deg, about_deg])
    c, s = np.cos(about), np.sin(about)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    c, s = np.cos(tilt), np.sin(tilt)
    tip = np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])
    rotation = turn @ tip @ turn.T @ np.diag([1.0, -1.0, -1.0])
    return Camera(3005.0, (1999.5, 1499.5), 0.0, 0.0, rotation, np.array([0.0, 0.0, 400.0]))


@pytest.mark.parametrize("about_deg", [0.0, 50.0, 90.0, 200.0])
def test_two_rulers_at_right_angles_and_one_more_tell_tilt(about_deg):
    camera = tilted(12.0, about_deg)
    lines = [((-120, -80), (120, -80)), ((-120, -80), (-120, 90)), ((130, -70), (130, 90))]
    lengths = []
    for ends in lines:
        a, b = camera.project(np.array(ends, dtype=float))
        lengths.append(KnownLength(tuple(a), tuple(b), float(np.hypot(*np.subtract(*ends)))))
    bench = bench_from_lengths(SIZE, lengths, focal_35mm=26.0)
    assert bench.report.tilt_deg == pytest.approx(12.0, abs=1.5)
    places = np.array([[20.0, -50.0], [90.0, 60.0]])
    a, b = bench.to_plane(camera.project(places))
    off = abs(np.hypot(*(b - a)) - np.hypot(*(places[1] - places[0])))
    assert off < bench.length_uncertainty(a, b)


def test_lengths_that_go_together_only_by_a_tilt_leave_the_tilt_in_doubt():
    wrong = KnownLength(UPRIGHT.a_px, UPRIGHT.b_px, 210.0)
    bench = bench_from_lengths(SIZE, [ACROSS, wrong], focal_35mm=26.0)
    assert any("How the camera was tilted" in w for w in bench.report.warnings)
    assert any("only if the camera was tilted" in w for w in bench.report.warnings)
    # Were it not tilted, the second would be 200 mm: within the stated 95 %.
    a, b = bench.to_plane([UPRIGHT.a_px, UPRIGHT.b_px])
    c, d = bench.to_plane([(2500.0, 500.0), (2500.0, 2500.0)])
    assert bench.length_uncertainty(c, d) > 10.0 > bench.length_uncertainty(a, b)


def test_lengths_of_one_place_that_disagree_are_told_and_leave_more_doubt():
    again = replace(ACROSS, length_mm=210.0)
    bench = bench_from_lengths(SIZE, [ACROSS, again], focal_35mm=26.0)
    assert any("Check its size" in w for w in bench.report.warnings)
    # Both lie within the stated 95 %.
    assert 1.96 * sigma_mm(bench) > 5.0


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
    assert disagreement(bench, *near, 170.0, sigma_mm=6.0) == ""


def test_a_lengths_own_tolerance_is_carried():
    sure = bench_from_length(SIZE, ACROSS.a_px, ACROSS.b_px, 200.0, focal_35mm=26.0)
    loose = bench_from_length(
        SIZE, ACROSS.a_px, ACROSS.b_px, 200.0, focal_35mm=26.0, tolerance_mm=0.5
    )
    # Any value within ± 0.5 mm as likely: 0.5 / sqrt(3).
    added = sigma_mm(loose) ** 2 - sigma_mm(sure) ** 2
    assert added == pytest.approx(0.5**2 / 3.0, rel=1e-3)
    with pytest.raises(BenchError, match="0 mm or more"):
        bench_from_length(SIZE, ACROSS.a_px, ACROSS.b_px, 200.0, tolerance_mm=-1.0)


def test_unknown_ruler_class_is_refused():
    with pytest.raises(BenchError, match="I, II, III"):
        ruler_tolerance_mm(300.0, "IV")
