"""The quick comparison of two paths never says less than the exact one."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.files.distance import distance_mm, spread_points
from geometry.files.reading.side_by_side import side_by_side_mm
from geometry.outline import Arc, Line, Loop

HOUSE = (
    Line((0.0, 0.0), (40.0, 0.0)),
    Line((40.0, 0.0), (40.0, 30.0)),
    Arc((20.0, 30.0), 20.0, 0.0, math.pi),
    Line((0.0, 30.0), (0.0, 0.0)),
)


def test_begun_elsewhere_and_run_the_other_way_it_is_the_same():
    for k in range(4):
        turned = HOUSE[k:] + HOUSE[:k]
        assert side_by_side_mm(HOUSE, turned) < 1e-12
        assert side_by_side_mm(HOUSE, [s.reversed() for s in reversed(turned)]) < 1e-12


@settings(max_examples=80, deadline=None)
@given(st.lists(st.floats(-0.01, 0.01), min_size=12, max_size=12), st.integers(0, 5))
def test_it_is_a_bound(noise, start):
    corners = np.array([(0, 0), (30, 0), (30, 20), (18, 20), (18, 35), (0, 35)], dtype=float)
    moved = np.roll(corners + np.array(noise).reshape(6, 2), start, axis=0)
    a, b = Loop.through(corners).segments, Loop.through(moved).segments
    said = side_by_side_mm(a, b)
    true = max(distance_mm(spread_points(x), y).max() for x, y in ((a, b), (b, a)))
    assert true <= said + 1e-12
    assert said <= math.hypot(0.01, 0.01) + 1e-9


@pytest.mark.parametrize(
    "other",
    [
        HOUSE[:3],
        # The same ends, but the arc is a line, or bulges to the other side.
        (*HOUSE[:2], Line((40.0, 30.0), (0.0, 30.0)), HOUSE[3]),
        (*HOUSE[:2], Arc((20.0, 30.0), 20.0, 0.0, -math.pi), HOUSE[3]),
    ],
)
def test_what_differs_is_far_apart(other):
    assert side_by_side_mm(HOUSE, other) > 1.0
