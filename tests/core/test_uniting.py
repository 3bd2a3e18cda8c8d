"""Shapes united: as many as there are, in one piece, whatever GEOS makes of them."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from geometry.uniting import united

turns = st.floats(0.0, 2.0 * np.pi)


@given(turns, st.floats(1e-12, 1e-6), st.integers(3, 40))
def test_slivers_side_by_side_make_what_they_cover(turn, gap_mm, count):
    at = np.linspace(-150.0, 150.0, count + 1)
    low, high = -1e-7 * np.cos(at), 1.0 + gap_mm * np.sin(7.0 * at)
    corners = [
        [(a, p), (b, q), (b, r), (a, s)]
        for a, b, p, q, r, s in zip(
            at[:-1], at[1:], low[:-1], low[1:], high[1:], high[:-1], strict=True
        )
    ]
    spin = np.array([(np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))])
    whole = united(shapely.polygons(np.array(corners) @ spin))
    assert whole.is_valid
    assert whole.area == pytest.approx(300.0, abs=1e-3)


def test_what_floating_numbers_refuse_is_united_on_a_grid(monkeypatch):
    union_all = shapely.union_all

    def refusing(shapes, grid_size=None):
        if grid_size is None:
            raise shapely.errors.GEOSException("TopologyException: found non-noded intersection")
        return union_all(shapes, grid_size=grid_size)

    monkeypatch.setattr(shapely, "union_all", refusing)
    whole = united([shapely.box(0, 0, 2, 1), shapely.box(1, 0, 3, 1)])
    assert whole.symmetric_difference(shapely.box(0, 0, 3, 1)).area < 1e-8


def test_nothing_united_is_nothing():
    assert united([]).is_empty
