"""The hand's error all round, and how many times it is enlarged."""

import math

import numpy as np
import pytest

from geometry.errors import OutlineError
from geometry.outline import Axis, Loop, Profile, circle, rectangle, subtract, symmetrise
from geometry.outline.symmetry.deviation import fair_factor, hand_error


def test_a_lifted_corner_is_the_worst_place():
    drawn = Profile(Loop.through([(0, 0), (40, 0), (40, 30), (0, 30.6)]))
    error = hand_error(drawn, rectangle(40.0, 30.0, (20.0, 15.0)))
    assert error.worst == pytest.approx((0.0, 30.6))
    assert error.worst_mm == pytest.approx(0.6, abs=1e-9)
    (ring,) = error.enlarged(10.0)
    # The highest place of the drawing is ten times as far off as the corner is.
    assert ring[:, 1].max() == pytest.approx(36.0, abs=1e-6)


def test_a_hole_is_compared_with_its_own():
    drawn = subtract(rectangle(60.0, 40.0), circle(10.4))
    meant = subtract(rectangle(60.0, 40.0), circle(10.0))
    error = hand_error(drawn, meant)
    assert error.worst_mm == pytest.approx(0.2, abs=0.01)
    outer, hole = error.enlarged(5.0)
    np.testing.assert_allclose(outer, error.feet[0], atol=1e-9)
    assert np.hypot(*hole.T) == pytest.approx([6.0] * len(hole), abs=0.05)


def test_it_agrees_with_the_figure_the_symmetry_gives():
    drawn = Profile(Loop.through([(-21, -10), (19, -10), (19, 10), (-21, 10)]))
    result = symmetrise(drawn, about=Axis((0.0, 0.0), math.pi / 2.0))
    error = hand_error(drawn, result.profile)
    assert error.worst_mm == pytest.approx(1.0, abs=1e-6)
    assert result.deviation_mm.max_mm == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize(
    ("worst", "size", "factor"),
    # 6 % of 100 mm is 6 mm.
    [(0.3, 100.0, 20), (0.29, 100.0, 20), (6.1, 100.0, 1), (0.012, 100.0, 500), (0.0, 50.0, 500)],
)
def test_the_factor_is_round_and_no_larger_than_shows_well(worst, size, factor):
    assert fair_factor(worst, size) == factor


def test_no_size_is_refused():
    with pytest.raises(OutlineError, match="above 0"):
        fair_factor(0.1, math.nan)
