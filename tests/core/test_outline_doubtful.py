"""Doubtful edges on the outline: in mm, as a band, and how much was read."""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bench import bench_from_rectangle
from geometry.outline import (
    DoubtfulEdge,
    circle,
    distance_to,
    doubt_band,
    doubtful_edges,
    read_part,
    rectangle,
)


@dataclass(frozen=True)
class Told:
    kind: str
    place: tuple[float, float]
    reach_px: float
    off_px: float


def square_on(px_per_mm=4.0):
    """A camera straight above: the corners of a sheet of 200 × 100 mm, 4 px a mm."""
    w, h = 200.0 * px_per_mm, 100.0 * px_per_mm
    corners = [(100, 700 - 100), (100 + w, 600), (100 + w, 600 - h), (100, 600 - h)]
    return bench_from_rectangle((1200, 800), corners, 200.0, 100.0)


def test_a_doubt_in_pixels_becomes_one_in_mm_where_the_pixel_lies():
    bench = square_on()
    (edge,) = doubtful_edges([Told("faint", (300.0, 400.0), 20.0, 2.0)], bench, 0.0)
    # Twenty pixels to either side, four to a millimetre.
    assert edge.reach_mm == pytest.approx(10.0, rel=1e-3)
    assert edge.off_mm == pytest.approx(0.5, rel=1e-3)
    assert np.allclose(edge.place_mm, bench.to_plane([(300.0, 400.0)])[0])


@pytest.mark.parametrize("kind", ["line", "neck", "open"])
def test_what_runs_across_a_part_leaves_its_own_edge_as_it_was_read(kind):
    told = [Told(kind, (300.0, 400.0), 0.0, 80.0), Told("seam", (300.0, 400.0), 0.0, 4.0)]
    across, beside = doubtful_edges(told, square_on(), 0.0)
    assert across.off_mm < 0.1
    assert beside.off_mm == pytest.approx(1.0, rel=1e-3)


def test_a_model_ten_times_as_large_has_doubts_ten_times_as_large():
    told = [Told("faint", (300.0, 400.0), 40.0, 2.0)]
    (small,), (large,) = (doubtful_edges(told, square_on(), 0.0, k) for k in (1.0, 10.0))
    assert large.off_mm == pytest.approx(10.0 * small.off_mm)
    assert np.allclose(large.place_mm, 10.0 * np.array(small.place_mm))


def test_how_much_of_an_outline_was_read():
    part = rectangle(60.0, 40.0)
    edges = [
        DoubtfulEdge("faint", (0.0, 20.0), 6.0, 0.3),
        DoubtfulEdge("neck", (30.0, 0.0), 4.0, 1),
        DoubtfulEdge("open", (30.0, 20.0), 14.0, 0.05),
    ]
    assert read_part(edges, part) == pytest.approx(1.0 - 10.0 / 200.0)
    assert read_part([], part) == 1.0


@given(turn=st.floats(0.0, 6.28), reach=st.floats(0.0, 300.0), off=st.floats(0.05, 3.0))
def test_a_band_lies_off_on_both_sides_of_a_circle(turn, reach, off):
    place = (20.0 * np.cos(turn), 20.0 * np.sin(turn))
    band = doubt_band(circle(40.0), DoubtfulEdge("faint", place, reach, off))
    # Chords of the circle lie up to a twentieth of a millimetre within it.
    assert np.allclose(np.hypot(*band.middle.T), 20.0, atol=0.06)
    inner, outer = sorted((np.hypot(*band.left.T).mean(), np.hypot(*band.right.T).mean()))
    assert inner == pytest.approx(20.0 - off, abs=0.1)
    assert outer == pytest.approx(20.0 + off, abs=0.1)


@pytest.mark.parametrize(("reach_mm", "radius_mm"), [(6.0, 3.0), (0.0, 1.0)])
def test_what_lies_beside_an_edge_is_ringed_where_it_lies(reach_mm, radius_mm):
    band = doubt_band(circle(40.0), DoubtfulEdge("open", (5.0, -2.0), reach_mm, 0.05))
    assert band.middle.tolist() == [[5.0, -2.0]]
    assert np.hypot(*(band.left - (5.0, -2.0)).T) == pytest.approx(radius_mm)
    assert band.left[0] == pytest.approx(band.left[-1])
    assert len(band.right) == 0


def test_a_node_moved_at_a_doubt_changes_its_distance_and_one_elsewhere_does_not():
    place = (30.0, 0.0)
    assert distance_to(rectangle(60.0, 40.0), place) == pytest.approx(0.0, abs=1e-9)
    assert distance_to(rectangle(60.0, 44.0), place) == pytest.approx(0.0, abs=1e-9)
    assert distance_to(rectangle(61.0, 40.0), place) == pytest.approx(0.5)
