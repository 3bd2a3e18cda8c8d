"""What a drawn shape was meant to be, and the shape that is."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import OutlineError
from geometry.outline import Arc, Line, Loop, Profile, circle, rectangle, slot
from geometry.outline.corrections.suggestions import apply, suggest

WONKY = [(0.0, 0.0), (100.05, 0.04), (99.97, 60.06), (-0.03, 59.95)]


def wonky():
    return Profile(Loop.through(WONKY))


def directions(profile):
    return [math.atan2(s.end[1] - s.start[1], s.end[0] - s.start[0]) for s in profile.segments()]


def test_a_wonky_rectangle_becomes_a_rectangle():
    found = suggest(wonky(), 0.2)
    kinds = [s.kind for s in found]
    assert kinds.count("right angle") == 2
    assert kinds.count("parallel") == 1
    assert kinds.count("level") == 1
    assert kinds.count("equal lengths") == 2
    assert all(s.movement_mm <= 0.2 for s in found)
    square = apply(wonky(), found)
    for angle in directions(square):
        quarter = angle / (math.pi / 2)
        assert abs(quarter - round(quarter)) < 1e-9
    moved = np.hypot(*(square.outer.nodes() - np.array(WONKY)).T)
    assert moved.max() < 0.1


def test_the_sentence_says_how_far_off():
    tilt = math.radians(0.3)
    shape = Profile(
        Loop.through(
            [(0, 0), (80, 0), (80, 30), (80 - 80 * math.cos(tilt), 30 + 80 * math.sin(tilt))]
        )
    )
    (parallel,) = [s for s in suggest(shape, 0.5) if s.kind == "parallel"]
    assert parallel.sentence == "These two edges are 0.3° from parallel."


def test_nothing_is_suggested_of_an_exact_shape_or_beyond_the_doubt():
    assert suggest(rectangle(80.0, 50.0, corner_radius_mm=6.0), 0.1) == ()
    assert [s for s in suggest(wonky(), 0.001) if s.kind != "equal lengths"] == []


def test_holes_become_equal_and_concentric():
    shape = Profile(
        circle(50.0).outer,
        (circle(20.0, (0.05, 0.03)).outer,),
    )
    (concentric,) = suggest(shape, 0.1)
    assert concentric.kind == "concentric"
    made = apply(shape, [concentric])
    (outer,), (hole,) = made.outer.segments, made.holes[0].segments
    assert math.dist(outer.center, hole.center) < 1e-9
    holes = Profile(
        rectangle(80.0, 40.0).outer,
        (circle(10.0, (-20.0, 0.0)).outer, circle(10.08, (20.0, 0.0)).outer),
    )
    (equal,) = suggest(holes, 0.1)
    one, two = (h.segments[0].radius_mm for h in apply(holes, [equal]).holes)
    # The smallest movement shares the difference: (5 + 5.04) / 2.
    assert one == pytest.approx(5.02, abs=1e-9)
    assert two == pytest.approx(5.02, abs=1e-9)


def test_tangent_joints_stay_tangent():
    shape = slot(60.0, 20.0)
    first = shape.outer.segments
    # One end of the slot is a little wider, as a hand cuts it, with everything still tangent.
    tilt = 0.002
    r1, r2, reach = 10.0, 10.0 - 40.0 * math.sin(tilt), 20.0
    up = math.pi / 2 - tilt
    right = Arc((reach, 0.0), r2, -up, 2 * up)
    left = Arc((-reach, 0.0), r1, up, 2 * math.pi - 2 * up)
    wide = Profile(Loop((right, Line(right.end, left.start), left, Line(left.end, right.start))))
    assert len(first) == 4
    found = suggest(wide, 0.2)
    parallel = [s for s in found if s.kind == "parallel"]
    assert parallel
    made = apply(wide, parallel)
    segments = made.outer.segments
    for one, two in zip(segments, segments[1:] + segments[:1], strict=True):
        (ax, ay), (bx, by) = one.tangent_at(1.0), two.tangent_at(0.0)
        assert abs(ax * by - ay * bx) < 1e-8


def test_what_was_accepted_before_stays_true():
    shape = wonky()
    for _ in range(8):
        found = suggest(shape, 0.2)
        if not found:
            break
        shape = apply(shape, found[:1])
    assert suggest(shape, 0.2) == ()
    for angle in directions(shape):
        assert abs(angle / (math.pi / 2) - round(angle / (math.pi / 2))) < 1e-8


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.floats(-0.05, 0.05), min_size=8, max_size=8),
    st.floats(20.0, 120.0),
    st.floats(15.0, 80.0),
    st.floats(0.0, 3.0),
)
def test_all_suggestions_together_leave_a_closed_outline_near_the_drawn_one(noise, a, b, turn):
    corners = np.array([(0.0, 0.0), (a, 0.0), (a, b), (0.0, b)])
    spin = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    corners = corners @ spin.T + np.array(noise).reshape(4, 2)
    shape = Profile(Loop.through(corners))
    found = suggest(shape, 0.2)
    made = apply(shape, found)
    assert len(made.outer.segments) == 4
    assert np.hypot(*(made.outer.nodes() - shape.outer.nodes()).T).max() < 0.5


def test_bad_requests_are_sentences():
    with pytest.raises(OutlineError, match="doubt"):
        suggest(wonky(), float("nan"))
    with pytest.raises(OutlineError, match="another outline"):
        apply(circle(10.0), suggest(wonky(), 0.2))
