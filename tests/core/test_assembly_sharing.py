"""Laps that share what other cuts leave, crumbs that are dropped, and pieces that must not be."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import Joint, Part, interference, join_parts, turn_about_axis
from geometry.assembly.check import check_assembly
from geometry.assembly.remarks import remarks
from geometry.errors import AssemblyError
from geometry.outline import Loop, Profile, rectangle, subtract
from geometry.part import Stock

THREE = Stock("plywood", 3.0, 0.2)
HEIGHT = 60.0


def box(x0, y0, x1, y1):
    return Profile(Loop.through([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))


def board(name, turn=0.0, place=(0.0, 0.0), profile=None):
    """A board 120 mm long on edge at z = 0, turned about z; its own y is the world's z."""
    c, s = math.cos(turn), math.sin(turn)
    pose = np.array([[c, 0, s, place[0]], [s, 0, -c, place[1]], [0, 1, 0, 0], [0, 0, 0, 1.0]])
    return Part(profile or box(-60.0, 0.0, 60.0, HEIGHT), THREE, pose, name)


def cross(first=None, second=None):
    return [board("A", profile=first), board("B", 0.5 * math.pi, profile=second)]


def built(parts, joinery):
    return [
        replace(part, profile=joinery.profiles[group])
        for part, group in zip(parts, joinery.groups, strict=True)
    ]


def slot(part, x=0.0):
    """Heights between which a part is open at one place of its own x."""
    levels = np.linspace(0.05, HEIGHT - 0.05, 1198)
    shape = part.profile.polygon()
    free = levels[~shapely.contains_xy(shape, np.full_like(levels, x), levels)]
    return (float(free.min()), float(free.max())) if len(free) else None


@pytest.mark.parametrize("split", [0.3, 0.5, 0.8])
def test_slots_meet_in_the_proportion_asked_of_what_is_left(split):
    parts = cross()
    # Both lose all above 24 mm over 40 mm of their length.
    cuts = {i: [box(-20.0, 24.0, 20.0, 80.0)] for i in (0, 1)}
    joinery = join_parts(parts, [Joint(0, 1, split=split)], other_cuts=cuts)
    (lap,) = joinery.laps
    assert lap.cross_lap.shared_mm == pytest.approx(24.0)
    low, high = sorted((lap.line[0][2], lap.line[1][2]))
    assert (low, high) == pytest.approx((0.0, 24.0), abs=1e-9)
    assert lap.cross_lap.depth_a_mm == pytest.approx(24.0 * split)
    assert lap.cross_lap.depth_b_mm == pytest.approx(24.0 * (1.0 - split))
    a, b = built(parts, joinery)
    assert interference(a, b).volume_mm3 < 1e-6
    assert check_assembly([a, b], []).order.can_be_built


def test_joints_of_whole_outlines_stay_and_say_so():
    parts = cross()
    cuts = {i: [box(-20.0, 40.0, 20.0, 80.0)] for i in (0, 1)}
    joint = Joint(0, 1, shares="whole")
    joinery = join_parts(parts, [joint], other_cuts=cuts)
    assert joinery.laps[0].cross_lap.split_world[2] == pytest.approx(30.0)
    check = check_assembly(built(parts, joinery), [])
    (told,) = [r for r in remarks(check, parts, [], joinery) if r.rule == "halved whole"]
    assert "10.0 mm off the middle of what is left. Press Share What Is Left" in told.sentence
    shared = join_parts(parts, [replace(joint, shares="left")], other_cuts=cuts)
    assert shared.laps[0].cross_lap.split_world[2] == pytest.approx(20.0)
    assert not [r for r in remarks(check, parts, [], shared) if r.rule == "halved whole"]
    # Without other cuts there is nothing to say.
    alone = join_parts(parts, [joint])
    assert not remarks(check_assembly(built(parts, alone), []), parts, [], alone)


def test_cuts_where_nothing_is_left_let_the_joint_sleep():
    parts = cross()
    cuts = {0: [box(-20.0, -1.0, 20.0, 30.0)], 1: [box(-20.0, 30.0, 20.0, 61.0)]}
    assert join_parts(parts, [Joint(0, 1)], other_cuts=cuts).unmatched == (0,)


def test_little_that_is_left_is_told():
    parts = cross()
    cuts = {i: [box(-20.0, 4.0, 20.0, 80.0)] for i in (0, 1)}
    joinery = join_parts(parts, [Joint(0, 1)], other_cuts=cuts)
    (told,) = remarks(check_assembly(built(parts, joinery), []), parts, [], joinery)
    assert told.label == "Frail: A + B"
    assert "share only 4.0 mm" in told.sentence


def test_a_cut_that_parts_the_line_leaves_one_place_for_both_stretches():
    """What is gone around lies in both boards: each is opened on one side only, and goes on it."""
    parts = cross()
    hole = box(-15.0, 20.0, 15.0, 44.0)
    joinery = join_parts(parts, [Joint(0, 1)], other_cuts={0: [hole], 1: [hole]})
    (lap,) = joinery.laps
    assert lap.cross_lap.intervals == 2
    # 20 mm below and 16 above are left; 18 of them lie below 18 mm, a tongue of 2 mm is not left.
    a, b = built(parts, joinery)
    low, high = sorted((slot(a), slot(b)))
    assert low == pytest.approx((0.0, 44.0), abs=0.1)
    assert high == pytest.approx((20.0, 60.0), abs=0.1)
    assert interference(a, b).volume_mm3 < 1e-6
    assert check_assembly([a, b], []).order.can_be_built


def test_a_plate_through_a_ring_is_slotted_and_the_ring_only_notched():
    ring = subtract(rectangle(100.0, 60.0, (0.0, 30.0)), rectangle(40.0, 30.0, (0.0, 30.0)))
    parts = cross(first=ring)
    a, b = built(parts, join_parts(parts, [Joint(0, 1)]))
    # The ring stays closed: a notch 7.5 mm deep in one bar.
    assert len(a.profile.holes) == 1
    assert ring.area_mm2 - a.profile.area_mm2 == pytest.approx(3.0 * 7.5, abs=1e-6)
    assert check_assembly([a, b], []).order.can_be_built


def test_windows_drawn_in_both_stay_closed():
    window = subtract(box(-60.0, 0.0, 60.0, HEIGHT), rectangle(40.0, 30.0, (0.0, 30.0)))
    parts = cross(window, window)
    joinery = join_parts(parts, [Joint(0, 1)])
    assert len(joinery.laps) == 2
    assert {len(part.holes) for part in joinery.profiles} == {1}
    assert not check_assembly(built(parts, joinery), []).order.can_be_built


def test_a_lap_shares_what_tabs_have_left():
    base = Part(rectangle(160.0, 160.0), THREE, turn_about_axis((0, 0, 0), (0, 0, 1), 0.0), "Base")
    parts = [board("A", profile=box(-60.0, 1.5, 60.0, HEIGHT)), base, board("B", 0.5 * math.pi)]
    parts[2] = replace(parts[2], profile=box(-60.0, 1.5, 60.0, HEIGHT))
    joints = [Joint(0, 1, "tab"), Joint(2, 1, "tab"), Joint(0, 2)]
    joinery = join_parts(parts, joints)
    made = built(parts, joinery)
    assert joinery.unmatched == ()
    assert not check_assembly(made, []).clashes


def test_copies_of_one_shape_share_alike():
    parts = [board("A")]
    parts += [board(f"B{i}", 0.5 * math.pi, (x, 0.0)) for i, x in enumerate((-30.0, 0.0, 30.0))]
    groups = [0, 1, 1, 1]
    # The first board loses more in the middle; its copies would each be slotted differently.
    cuts = {0: [box(-10.0, 30.0, 10.0, 61.0)], 1: [box(-10.0, 50.0, 10.0, 61.0)]}
    joints = [Joint(0, i) for i in (1, 2, 3)]
    joinery = join_parts(parts, joints, groups=groups, other_cuts=cuts)
    heights = {round(lap.cross_lap.split_world[2], 6) for lap in joinery.laps}
    assert len(heights) == 1
    made = built(parts, joinery)
    assert not check_assembly(made, []).clashes


# Crumbs ---------------------------------------------------------------------------------------


def comb(height):
    """Cuts that leave a tooth of 2 mm × height hanging free in a board's upper edge."""
    return [
        box(-5.0, HEIGHT - height - 2.0, -1.0, HEIGHT + 1.0),
        box(1.0, HEIGHT - height - 2.0, 5.0, HEIGHT + 1.0),
        box(-3.0, HEIGHT - height - 2.0, 3.0, HEIGHT - height),
    ]


def test_a_crumb_is_dropped_and_told_with_place_and_size():
    part = board("A")
    joinery = join_parts([part], [], other_cuts={0: comb(4.0)})
    ((crumb,),) = joinery.crumbs
    assert crumb.area_mm2 == pytest.approx(8.0, abs=1e-6)
    assert crumb.place == pytest.approx((0.0, HEIGHT - 2.0), abs=1e-6)
    check = check_assembly(built([part], joinery), [])
    (told,) = remarks(check, [part], [], joinery)
    assert (told.severity, told.label) == ("caution", "Dropped: A")
    assert told.place == pytest.approx((0.0, 0.0, 58.0), abs=1e-6)
    assert "8 mm² of A at (0.0, 58.0) mm" in told.sentence
    assert "the cut to the fixture" in told.sentence


def test_a_larger_loose_piece_stops_with_its_place_and_cause():
    with pytest.raises(AssemblyError) as found:
        join_parts([board("A")], [], other_cuts={0: comb(50.0)})
    told = str(found.value)
    assert told.startswith("“A” would fall apart: the cut to the fixture would sever")
    assert "a piece of 100 mm² at (0.0, 35.0) mm" in told


def test_a_loose_piece_that_carries_a_joint_is_not_dropped():
    parts = [board("A"), board("B", 0.5 * math.pi, profile=box(-60.0, 57.0, 60.0, HEIGHT))]
    # Above 57 mm the boards would lap; what A keeps there hangs free.
    around = [
        box(-9.0, 50.0, -5.0, 61.0),
        box(5.0, 50.0, 9.0, 61.0),
        box(-9.0, 50.0, 9.0, 54.0),
    ]
    with pytest.raises(AssemblyError, match="that the cross-lap with “B” needs"):
        join_parts(parts, [Joint(0, 1)], other_cuts={0: around})


def test_slots_name_whom_they_are_for_when_they_sever():
    parts = [
        board("A"),
        *(board(f"B{i}", 0.5 * math.pi, (x, 0.0)) for i, x in enumerate((-10.0, 10.0), 1)),
    ]
    # Between two slots open at the lower edge, and a cut over them, nothing holds.
    cuts = {i: [box(-30.0, 20.0, 30.0, 40.0)] for i in range(3)}
    joints = [Joint(0, i, a_opens="start", split=0.6) for i in (1, 2)]
    with pytest.raises(AssemblyError, match="cross-lap with “B1” and the cross-lap with “B2”"):
        join_parts(parts, joints, other_cuts=cuts)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(2.0, 58.0),
    st.floats(2.0, 58.0),
    st.floats(40.0, 140.0),
    st.floats(0.1, 0.9),
    st.booleans(),
)
def test_whatever_is_left_is_shared_without_overlap(first, second, degrees, split, from_above):
    parts = [board("A"), board("B", math.radians(degrees))]
    cuts = {
        i: [box(-25.0, level, 25.0, 70.0) if from_above else box(-25.0, -5.0, 25.0, level)]
        for i, level in enumerate((first, second))
    }
    joinery = join_parts(parts, [Joint(0, 1, split=split)], other_cuts=cuts)
    assert joinery.unmatched == ()
    a, b = built(parts, joinery)
    assert interference(a, b).volume_mm3 < 1e-4
    assert check_assembly([a, b], []).order.can_be_built
