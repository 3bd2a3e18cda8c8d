"""How surely an edge was read, in mm: of its reading and of the bench it lies on together."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.outline import FineRing, doubtful_edges, read_edge
from geometry.outline.trace import Doubt
from tests.core.part_pictures import camera_over

SIZE, SCALE = (420, 360), 8.0


def ring_on(bench, sigma_px=0.2):
    """A ring of 20 mm radius about the middle, read alike all round, px."""
    turn = np.linspace(0.0, 2.0 * np.pi, 640, endpoint=False)
    seen = bench.to_photo(20.0 * np.column_stack((np.cos(turn), np.sin(turn))))
    return FineRing(seen, np.full(len(seen), sigma_px), *np.zeros((2, len(seen))))


@pytest.fixture
def bench():
    return camera_over(SIZE, SCALE, tilt_deg=0.0)


def test_a_sure_bench_leaves_what_reading_took(bench):
    read = read_edge([ring_on(bench)], bench, 0.0)
    assert read.usual_mm == pytest.approx(1.96 * 0.2 / SCALE, rel=0.02)
    assert np.hypot(*read.places_mm.T) == pytest.approx(np.full(len(read.places_mm), 20.0), abs=0.1)
    assert 1.0 < 2.0 * np.pi * 20.0 / len(read.places_mm) < 3.0


def test_an_outline_made_larger_is_read_so_much_less_surely(bench):
    once, ten = (read_edge([ring_on(bench)], bench, 0.0, times) for times in (1.0, 10.0))
    assert ten.usual_mm == pytest.approx(10.0 * once.usual_mm)
    assert ten.resolved_mm == pytest.approx(10.0 * once.resolved_mm)


def test_an_unsure_scale_makes_what_is_far_from_the_middle_unsure(bench):
    ring = ring_on(bench)
    unsure = replace(bench, scale_sigma=0.01)
    places = np.vstack((ring.points, bench.to_photo([(0.0, 0.0)])))
    off = unsure.shape_uncertainty(places)
    assert off[:-1] == pytest.approx(np.full(len(off) - 1, 1.96 * 0.01 * 20.0), rel=0.01)
    assert off[-1] < 0.01
    sure, other = (read_edge([ring], b, 0.0).usual_mm for b in (bench, unsure))
    assert other == pytest.approx(np.hypot(sure, 1.96 * 0.2), rel=0.02)
    doubt = Doubt("faint", tuple(ring.points[0]), 8.0, 1.0)
    (plain,) = doubtful_edges([doubt], unsure, 0.0)
    (told,) = doubtful_edges([doubt], unsure, 0.0, 1.0, [ring])
    assert told.off_mm == pytest.approx(np.hypot(plain.off_mm, 1.96 * 0.2), rel=0.02)


def test_a_camera_that_may_lie_elsewhere_moves_an_outline_and_changes_nothing_of_it(bench):
    ring = ring_on(bench)
    moved, turned, far = np.zeros((3, 9, 9))
    moved[3, 3] = moved[4, 4] = 1.0
    turned[2, 2] = 1e-4
    far[5, 5] = 1.0
    for covariance, limit in ((moved, 1e-3), (turned, 1e-3)):
        assert replace(bench, covariance=covariance).shape_uncertainty(ring.points).max() < limit
    # A millimetre nearer the part is larger by its share of the distance.
    assert replace(bench, covariance=far).shape_uncertainty(ring.points).min() > 0.02


def test_nothing_read_tells_nothing(bench):
    assert read_edge([], bench, 0.0) is None
