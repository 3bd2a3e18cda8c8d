"""Relief: which corners, which styles, and what is refused."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import PartError
from geometry.outline import Arc, Line, Loop, Profile, circle, rectangle, ring, subtract
from geometry.part.kerf import compensate_kerf
from geometry.part.relief import relieve_corners

POCKET = subtract(rectangle(120.0, 90.0), rectangle(60.0, 40.0))


def test_outside_corners_and_circles_are_left_alone():
    for part in (rectangle(20.0, 10.0), circle(8.0), ring(30.0, 10.0)):
        assert relieve_corners(part, 6.0) is part


def test_relieved_pocket_has_one_arc_a_corner_and_its_four_walls():
    hole = relieve_corners(POCKET, 6.0).holes[0]
    arcs = [s for s in hole.segments if isinstance(s, Arc)]
    assert [round(a.radius_mm, 9) for a in arcs] == [3.0] * 4
    assert sum(isinstance(s, Line) for s in hole.segments) == 4
    for arc in arcs:
        assert abs(arc.center[0]) == pytest.approx(30.0 - 3.0 / math.sqrt(2.0), abs=1e-9)


def test_only_the_named_corner_is_opened():
    relieved = relieve_corners(POCKET, 6.0, [(30.0, 20.0)])
    (arc,) = (s for s in relieved.segments() if isinstance(s, Arc))
    assert arc.center[0] > 0.0 < arc.center[1]


def test_a_place_without_an_inside_corner_is_refused():
    with pytest.raises(PartError, match=r"no inside corner at \(60\.00, 45\.00\)"):
        relieve_corners(POCKET, 6.0, [(60.0, 45.0)])


def test_slot_as_wide_as_the_cutter_passes_and_a_narrower_one_is_refused():
    slotted = subtract(rectangle(60.0, 40.0), rectangle(6.0, 30.0, (0.0, 15.0)))
    assert relieve_corners(slotted, 6.0).count(Arc) >= 1
    with pytest.raises(PartError, match=r"too narrow for a 6\.01 mm cutter"):
        relieve_corners(slotted, 6.01)


@pytest.mark.parametrize("diameter", [0.0, -1.0, math.nan])
def test_bad_diameters_are_refused(diameter):
    with pytest.raises(PartError, match="above 0 mm"):
        relieve_corners(POCKET, diameter)


def test_relief_a_little_wider_than_the_cutter_survives_its_path():
    path = compensate_kerf(relieve_corners(POCKET, 6.3), 6.0)
    radii = sorted(s.radius_mm for s in path.holes[0].segments if isinstance(s, Arc))
    # The path turns smoothly into each relief; such joints are true to a micrometre.
    assert radii == [pytest.approx(0.15, abs=1e-3)] * 4


@settings(max_examples=40, deadline=None)
@given(st.floats(0.35, 2.8), st.floats(0.0, 6.2), st.floats(1.0, 8.0))
def test_overshoot_past_a_wall_at_any_angle(angle, turn, diameter):
    reach = 60.0
    tip = [(reach * math.cos(angle), reach * math.sin(angle)), (0.0, 0.0), (reach, 0.0)]
    middle = angle / 2 + math.pi
    back = [
        (reach * 3 * math.cos(middle + a), reach * 3 * math.sin(middle + a))
        for a in (-2.0, -1.0, 0.0, 1.0, 2.0)
        if abs(a) < math.pi - angle / 2 - 0.1
    ]
    part = Profile(Loop.through(tip + back[::-1])).rotated(turn)
    relieved = relieve_corners(part, diameter, [(0.0, 0.0)]).rotated(-turn)
    points = relieved.outer.flatten(1e-5)
    near = points[(points[:, 0] ** 2 + points[:, 1] ** 2) < (1.01 * diameter) ** 2]
    # Elementary: the cutter's centre is r sin(φ / 2) from either wall.
    wanted = -(diameter / 2) * (1.0 - math.sin(angle / 2))
    assert near[:, 1].min() == pytest.approx(wanted, abs=3e-5)
