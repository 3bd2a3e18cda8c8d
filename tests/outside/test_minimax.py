"""The least largest rest against a linear programme's."""

import numpy as np
import pytest
from scipy.optimize import linprog

from geometry.numeric import chebyshev_fit

pytestmark = pytest.mark.outside


def programme(off, rows):
    """The least largest rest by SciPy's solver, its own unknown beside those of the fit."""
    ones = np.ones((len(off), 1))
    answer = linprog(
        [0.0] * rows.shape[1] + [1.0],
        A_ub=np.block([[rows, -ones], [-rows, -ones]]),
        b_ub=np.concatenate((-off, off)),
        bounds=[(None, None)] * rows.shape[1] + [(0.0, None)],
    )
    return answer.fun


def circle(angles):
    return np.column_stack((-np.cos(angles), -np.sin(angles), -np.ones(len(angles))))


def line(angles):
    return np.column_stack((-np.ones(len(angles)), -50.0 * angles, np.zeros(len(angles))))


def held_circle(angles):
    along = np.array([0.6, 0.8, 0.0])
    return circle(angles) @ (np.eye(3) - np.outer(along, along))


@pytest.mark.parametrize("rows_of", [circle, line, held_circle])
@pytest.mark.parametrize("seed", range(5))
def test_the_largest_rest_is_as_small_as_can_be(rows_of, seed):
    rng = np.random.default_rng(seed)
    angles = np.linspace(0.0, rng.uniform(0.05, 5.0), int(rng.integers(5, 800)))
    rows = rows_of(angles)
    off = rng.normal(0.0, 0.05, len(angles)) + 0.05 * np.sin(3.0 * angles)
    rest = np.abs(off + rows @ chebyshev_fit(off, rows)).max()
    assert rest == pytest.approx(programme(off, rows), rel=1e-5)


@pytest.mark.parametrize("unknowns", [6, 12, 24])
def test_many_unknowns_are_found_as_well(unknowns):
    rng = np.random.default_rng(unknowns)
    way = np.linspace(0.0, 5.0, 900)[:, None]
    rows = np.cos(0.3 * way * np.arange(unknowns) + np.arange(unknowns))
    off = rng.normal(0.0, 0.05, len(way)) + 0.05 * np.sin(7.0 * way[:, 0])
    rest = np.abs(off + rows @ chebyshev_fit(off, rows)).max()
    # Rows that are all but the same cost the programme some of its accuracy.
    assert rest <= programme(off, rows) * (1.0 + 1e-5)


def test_no_more_places_than_unknowns_are_left_alone():
    assert not chebyshev_fit(np.array([0.1, -0.1]), line(np.array([0.0, 1.0]))).any()
