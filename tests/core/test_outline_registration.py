"""One outline laid on another: moved back by what moved it, whatever was trimmed meanwhile."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import OutlineError
from geometry.outline import circle, combine, rectangle, register, regular_polygon, subtract

PLATE = subtract(rectangle(80.0, 50.0), circle(12.0, (18.0, 7.0)))


@settings(max_examples=25, deadline=None)
@given(turn=st.floats(-math.pi, math.pi), x=st.floats(-300, 300), y=st.floats(-300, 300))
def test_a_moved_outline_is_moved_back(turn, x, y):
    found = register(PLATE.rotated(turn).moved(x, y), PLATE)
    assert found.worst_mm < 1e-3
    assert math.remainder(found.turn_rad + turn, 2.0 * math.pi) == pytest.approx(0.0, abs=1e-5)
    # The hole alone tells which way round.
    (hole,) = found.profile.holes
    assert np.allclose(hole.flatten(0.01).mean(axis=0), (18.0, 7.0), atol=1e-2)


def test_a_corner_trimmed_off_meanwhile_moves_nothing_else():
    (trimmed,) = combine("subtract", PLATE, rectangle(8.0, 8.0, (40.0, 25.0), math.pi / 4.0))
    found = register(trimmed.rotated(0.4).moved(20.0, -35.0), PLATE)
    x0, y0, x1, y1 = found.profile.bounds_mm
    assert (x0, y0) == pytest.approx((-40.0, -25.0), abs=0.02)
    assert found.worst_mm > 2.0
    assert math.dist(found.worst_place, (40.0, 25.0)) < 8.0
    assert found.rms_mm < 1.0
    assert (x1, y1) == pytest.approx((40.0, 25.0), abs=0.02)


def test_a_round_or_regular_shape_may_lie_in_any_of_its_turns():
    assert register(circle(30.0, (4.0, 5.0)), circle(30.0)).worst_mm < 0.02
    turned = regular_polygon(6, 40.0).rotated(0.2).moved(9.0, 9.0)
    assert register(turned, regular_polygon(6, 40.0)).worst_mm < 1e-3


def test_another_part_is_refused():
    with pytest.raises(OutlineError, match="not of the same part"):
        register(rectangle(30.0, 20.0), PLATE)
