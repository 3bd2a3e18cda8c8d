"""Three sheets and more through one line: who keeps which interval, and what is refused."""

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import Part, around_axis, stand_on_axis, turn_about_axis
from geometry.assembly.check import check_assembly
from geometry.assembly.joints.joinery import Joint, join_parts
from geometry.assembly.joints.shared_lines import copies_along_lines
from geometry.assembly.sequence.opening import open_for_assembly
from geometry.errors import AssemblyError
from geometry.outline import Loop, Profile, rectangle
from geometry.part import Stock

THREE = Stock("plywood", 3.0, 0.2)


def star(count, width=80.0, height=60.0, stock=THREE):
    """So many upright sheets through the world's z axis, 30 mm up and down from its origin."""
    poses = (
        turn_about_axis((0, 0, 0), (0, 0, 1), math.pi * i / count) @ stand_on_axis(0.0)
        for i in range(count)
    )
    return [
        Part(rectangle(width, height), stock, pose, name)
        for name, pose in zip("ABCDEFG", poses, strict=False)
    ]


def every_lap(parts, **settings):
    return [Joint(i, j, **settings) for i, j in combinations(range(len(parts)), 2)]


def built(parts, joints, **more):
    shapes = join_parts(parts, joints, **more).profiles
    return [replace(part, profile=shape) for part, shape in zip(parts, shapes, strict=True)]


def slots(part):
    """Heights over which the sheet is open along the axis, from its lower edge at -30 mm."""
    axis = np.linspace(-29.9, 29.9, 599)
    shape = part.profile.polygon()
    open_at = ~shapely.contains_xy(shape, np.zeros_like(axis), axis)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], open_at, [False])).astype(int)))
    return [(axis[low], axis[high - 1]) for low, high in edges.reshape(-1, 2)]


@pytest.mark.parametrize("count", [3, 4, 5])
def test_each_sheet_keeps_its_own_stretch_and_all_go_together(count):
    parts = star(count)
    stars = built(parts, every_lap(parts))
    third = 60.0 / count
    for number, part in enumerate(stars):
        kept = (-30.0 + number * third, -30.0 + (number + 1) * third)
        wanted = [(-30.0, kept[0])] if number else []
        wanted += [(kept[1], 30.0)] if number < count - 1 else []
        assert np.allclose(slots(part), wanted, atol=0.15)
    check = check_assembly(stars, [])
    assert check.clashes == ()
    assert check.order.can_be_built
    assert all(len(step.parts) == 1 for step in check.order.steps)
    # Half a millimetre less room, and neighbours are in each other's way: no slot is too wide.
    tight = check_assembly(built(parts, every_lap(parts, clearance_mm=-0.5)), [])
    assert {(clash.a, clash.b) for clash in tight.clashes} >= {(i, i + 1) for i in range(count - 1)}


@settings(max_examples=12, deadline=None)
@given(
    turns=st.lists(st.floats(0.45, 1.2), min_size=2, max_size=2),
    thick=st.lists(st.floats(1.0, 6.0), min_size=3, max_size=3),
    lifts=st.lists(st.floats(-8.0, 8.0), min_size=3, max_size=3),
)
def test_any_three_angles_thicknesses_and_heights_fit(turns, thick, lifts):
    parts = []
    for turn, thickness, lift in zip((0.0, *np.cumsum(turns)), thick, lifts, strict=True):
        pose = turn_about_axis((0, 0, 0), (0, 0, 1), turn) @ stand_on_axis(0.0)
        pose[2, 3] += lift
        parts.append(Part(rectangle(120.0, 60.0), Stock("s", thickness, 0.1), pose, str(turn)))
    stars = built(parts, every_lap(parts))
    check = check_assembly(stars, [])
    assert check.clashes == ()
    assert check.order.can_be_built


def test_sides_chosen_say_who_is_below_whatever_way_the_line_runs():
    parts = star(3)
    # C below A, A below B.
    joints = [
        Joint(0, 1, a_opens="end"),
        Joint(0, 2, a_opens="start"),
        Joint(1, 2, a_opens="start"),
    ]
    a, b, c = built(parts, joints)
    assert len(slots(a)) == 2
    assert slots(b)[0][0] < -29.0
    assert slots(c)[0][1] > 29.0
    level = [replace(p, pose=turn_about_axis((0, 0, 0), (1, 1, 0), 0.7) @ p.pose) for p in parts]
    again = built(level, joints)
    assert [p.profile.area_mm2 for p in again] == pytest.approx(
        [p.profile.area_mm2 for p in (a, b, c)], rel=1e-6
    )
    joints[1] = Joint(0, 2, a_opens="end")
    joints[2] = Joint(1, 2, a_opens="end")
    assert len(slots(built(parts, joints)[1])) == 2
    joints[1] = Joint(0, 2, a_opens="start")
    with pytest.raises(AssemblyError, match="put each below the next"):
        join_parts(parts, joints)


def test_what_cannot_be_divided_is_refused_with_its_reason():
    parts = star(3)
    with pytest.raises(AssemblyError, match="“A” and “C” are not lapped with each other"):
        join_parts(parts, [Joint(0, 1), Joint(1, 2)])
    with pytest.raises(AssemblyError, match="“A” and “B” are copies of one shape"):
        join_parts(parts, every_lap(parts), groups=[0, 0, 1])
    flat = star(3, height=2.5)
    with pytest.raises(AssemblyError, match=r"share only 2\.5 mm of it, too little to divide"):
        join_parts(flat, every_lap(flat))
    window = Loop.through([(-20, -10), (20, -10), (20, 10), (-20, 10)])
    holed = [replace(p, profile=Profile(p.profile.outer, (window,))) for p in parts]
    with pytest.raises(AssemblyError, match="in several stretches"):
        join_parts(holed, every_lap(holed))


def test_copies_through_one_line_need_shapes_of_their_own():
    parts = star(3)
    aside = replace(parts[0], pose=turn_about_axis((500, 0, 0), (0, 0, 1), math.pi) @ parts[0].pose)
    joints = every_lap([*parts, aside])
    assert copies_along_lines([*parts, aside], joints, [0, 0, 0, 0]) == (1, 2)
    assert copies_along_lines([*parts, aside], joints, [0, 1, 0, 1]) == (2,)
    assert copies_along_lines(parts[:2], every_lap(parts[:2]), [0, 0]) == ()


def test_opening_leaves_shared_lines_to_their_order():
    parts = star(3)
    opening = open_for_assembly(parts, every_lap(parts))
    assert opening.order.can_be_built
    assert opening.opens == ("auto", "auto", "auto")


def test_ribs_around_an_axis_that_do_not_reach_it_are_no_bundle():
    ribs = [
        Part(rectangle(40.0, 30.0, (60.0, 0.0)), THREE, pose, str(i))
        for i, pose in enumerate(around_axis(stand_on_axis(0.0), 6))
    ]
    assert len(join_parts(ribs, every_lap(ribs)).unmatched) == 15
