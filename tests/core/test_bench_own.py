"""A printed bench says which crossing is which; lengths measured on it are looked at first."""

import numpy as np
import pytest

from geometry.bench import BENCH_PAPERS, KnownMat, ring_bits, ring_cells
from geometry.bench.mats import laid_pitch
from geometry.bench.mats.own import identified
from geometry.errors import BenchError


def dots_of(paper):
    """(columns, rows) contrast of a sheet's squares."""
    printed = BENCH_PAPERS[paper]
    dots = np.zeros((printed.columns, printed.rows))
    cells = ring_cells(printed)
    dots[cells[:, 0], cells[:, 1]] = 100.0 * ring_bits(len(cells))
    return dots


def test_no_eight_squares_of_a_border_are_there_twice():
    bits = ring_bits(255)
    windows = {tuple(np.roll(bits, -k)[:8]) for k in range(255)}
    assert len(windows) == 255


@pytest.mark.parametrize("paper", BENCH_PAPERS)
@pytest.mark.parametrize("turns", range(4))
def test_a_sheet_is_known_whichever_way_it_lies_and_though_half_is_hidden(paper, turns):
    rng = np.random.default_rng(turns)
    seen = np.rot90(dots_of(paper), turns) + rng.normal(
        0.0, 8.0, np.rot90(dots_of(paper), turns).shape
    )
    # Lattices run up, arrays down: a quarter turn of (column, row) to the left is rot90.
    whole = identified(BENCH_PAPERS[paper], seen, (0, 0))
    assert whole is not None
    assert whole[0] == turns
    hidden = seen.copy()
    hidden[seen.shape[0] // 2 :] = np.nan
    part = identified(BENCH_PAPERS[paper], hidden, (-3, 5))
    assert part is not None
    assert part[0] == whole[0]
    assert np.subtract(part[1], whole[1]).tolist() == [-3, 5]


def test_a_plain_mat_is_no_printed_bench():
    dots = np.random.default_rng(1).normal(0.0, 1.0, (27, 18))
    assert identified(BENCH_PAPERS["A4"], dots, (0, 0)) is None


def test_where_the_border_is_hidden_both_ways_are_taken_alike_and_it_is_said():
    mat = KnownMat.measured("A4", (271.9, 180.0))
    laid = laid_pitch(mat, np.full((20, 12), np.nan), (0, 0), 10.0)
    assert laid.pitch_mm == pytest.approx((10.035, 10.035), abs=0.001)
    assert 0.002 < laid.sigma < 0.003
    assert "border is not seen" in laid.told[0]


def test_a_bought_mat_that_is_alike_both_ways_needs_no_border():
    mat = KnownMat.measured("", (401.2, 280.8), (40, 28))
    laid = laid_pitch(mat, np.zeros((40, 28)), (0, 0), 10.0)
    assert laid.pitch_mm == pytest.approx((10.03, 10.0286), abs=1e-3)
    assert laid.told == ()
    assert laid.free_axis is None


@pytest.mark.parametrize("lengths_mm", [(0.0, 180.0), (252.0, 180.0), (270.0, 171.0)])
def test_lengths_that_no_paper_has_are_refused(lengths_mm):
    with pytest.raises(BenchError, match=r"steel rule|Measure the line again"):
        KnownMat.measured("A4", lengths_mm)
