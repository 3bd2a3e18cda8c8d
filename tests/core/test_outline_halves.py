"""Half a shape and the whole it stands for."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import SymmetryError
from geometry.outline import Arc, circle
from geometry.outline.curves.beziers import loop_to_knots
from geometry.outline.symmetry.halves import whole_from_half


def straight(points):
    """Knots of straight edges through points, open."""
    p = np.array(points, dtype=float)
    step = np.diff(p, axis=0) / 3.0
    knots = np.stack((p, p, p), axis=1)
    knots[:-1, 2] += step
    knots[1:, 0] -= step
    return knots


def test_half_a_disc_is_a_disc():
    # Five knots of the eight that draw the circle: half of it.
    knots = loop_to_knots(circle(40.0).outer)[0][:5]
    whole = whole_from_half(knots)
    assert whole.area_mm2 == pytest.approx(math.pi * 400.0, rel=1e-6)
    assert whole.count(Arc) == len(whole.outer.segments)


@given(
    st.lists(st.floats(1.0, 50.0), min_size=1, max_size=6),
    st.floats(-100.0, 100.0),
    st.floats(0.0, 6.0),
)
def test_mirrored_nodes_are_equal_to_a_thousandth_of_a_nanometre(heights, off, turn):
    xs = np.linspace(0.0, 80.0, len(heights) + 2)
    points = np.column_stack((xs, [0.0, *heights, 0.0]))
    c, s = math.cos(turn), math.sin(turn)
    spin = np.array([[c, -s], [s, c]])
    whole = whole_from_half(straight(points @ spin.T + off))
    back = (whole.outer.nodes() - off) @ spin
    mirrored = back * (1.0, -1.0)
    gaps = np.hypot(*(back[:, None] - mirrored[None]).transpose(2, 0, 1)).min(axis=1)
    assert gaps.max() < 1e-9


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([(0, 0)], "two nodes"),
        ([(0, 0), (10, 10), (0, 0)], "ends of the half meet"),
        ([(0, 0), (10, 0), (20, 0)], "own axis"),
    ],
)
def test_what_is_no_half_is_a_sentence(points, words):
    knots = straight(points) if len(points) > 1 else np.zeros((1, 3, 2))
    with pytest.raises(SymmetryError, match=words):
        whole_from_half(knots)
