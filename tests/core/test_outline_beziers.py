"""Outlines survive the trip through Bézier knots, also in single precision."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.outline import Arc, Cubic, Line, Loop, Profile
from geometry.outline.curves.beziers import loop_from_knots, loop_to_knots
from geometry.outline.curves.record import profile_from_record, profile_to_record


def single_precision(knots, metre=True):
    """What a curve editor that works in float32 metres keeps of mm."""
    return (knots * 1e-3).astype(np.float32).astype(np.float64) * 1e3


def d_shape(radius=40.0):
    return Loop((Arc((0.0, 0.0), radius, -math.pi / 2, math.pi), Line((0, radius), (0, -radius))))


def test_circle_comes_back_as_one_arc():
    loop = Loop.circle((120.0, -35.0), 87.75)
    knots, straight = loop_to_knots(loop)
    assert len(knots) == 8
    assert not any(straight)
    back = loop_from_knots(single_precision(knots))
    (arc,) = back.segments
    assert isinstance(arc, Arc)
    assert arc.is_circle
    assert math.dist(arc.center, (120.0, -35.0)) < 1e-4
    assert arc.radius_mm == pytest.approx(87.75, abs=1e-4)


def test_eight_pieces_hold_a_100_mm_circle_to_a_quarter_micrometre():
    loop = Loop.circle((0.0, 0.0), 50.0)
    knots, _ = loop_to_knots(loop)
    following = np.roll(knots, -1, axis=0)
    worst = 0.0
    for a, b, c, d in zip(knots[:, 1], knots[:, 2], following[:, 0], following[:, 1], strict=True):
        curve = Cubic(tuple(a), tuple(b), tuple(c), tuple(d)).points_at(np.linspace(0, 1, 101))
        worst = max(worst, np.abs(np.hypot(*curve.T) - 50.0).max())
    assert worst < 0.25e-3


def test_lines_and_arcs_keep_their_kind_and_count():
    back = loop_from_knots(single_precision(loop_to_knots(d_shape())[0]))
    assert [type(s) for s in back.segments] == [Arc, Line]
    assert back.signed_area_mm2 == pytest.approx(math.pi * 800.0, abs=0.01)


def test_clockwise_hole_stays_clockwise():
    loop = Loop.circle((1.0, 2.0), 3.0).reversed()
    back = loop_from_knots(single_precision(loop_to_knots(loop)[0]))
    assert back.signed_area_mm2 == pytest.approx(-9.0 * math.pi, abs=1e-3)


def test_moved_handle_makes_the_piece_a_cubic():
    knots, _ = loop_to_knots(d_shape())
    knots[1, 2] += (0.5, 0.0)
    kinds = [type(s) for s in loop_from_knots(knots).segments]
    assert Cubic in kinds


def test_start_node_inside_an_arc_does_not_split_it():
    knots, _ = loop_to_knots(d_shape())
    back = loop_from_knots(np.roll(knots, -2, axis=0))
    assert sorted(type(s).__name__ for s in back.segments) == ["Arc", "Line"]


@given(
    st.floats(0.5, 500.0),
    st.floats(-math.pi, math.pi),
    st.floats(0.02, 6.2),
    st.sampled_from([-1.0, 1.0]),
    st.floats(-300.0, 300.0),
)
def test_any_arc_survives(radius, start, sweep, sign, x):
    arc = Arc((x, 0.3 * x), radius, start, sign * sweep)
    loop = Loop((arc, Line(arc.end, arc.start)))
    back = loop_from_knots(loop_to_knots(loop)[0])
    found = [s for s in back.segments if isinstance(s, Arc)]
    if radius * (1 - math.cos(sweep / 2)) > 2e-4 or sweep > math.pi:
        (only,) = found
        assert only.radius_mm == pytest.approx(radius, rel=1e-6)
        assert only.sweep_rad == pytest.approx(arc.sweep_rad, rel=1e-6)


def test_record_gives_back_every_bit():
    profile = Profile(d_shape(math.pi * 10), (Loop.circle((10.1, 0.2), 1 / 3),))
    assert profile_from_record(profile_to_record(profile)) == profile
