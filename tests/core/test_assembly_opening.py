"""Slots turned so that the whole goes together: cases that need it, and cases nothing helps."""

import math
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from geometry.assembly import Part, assembly_order, turn_about_axis
from geometry.assembly.check import check_assembly
from geometry.assembly.joints.joinery import Joint, join_parts
from geometry.assembly.sequence.opening import open_for_assembly
from geometry.errors import AssemblyError, Cancelled
from geometry.outline import Loop, Profile, rectangle
from geometry.part import Stock

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

PLY = Stock("ply", 3.0, 0.1)


def upright(profile, name, *, along="x", at=(0.0, 0.0), turned=False):
    """A sheet on edge, its y up: along the world's x or y, or turned half about z."""
    turn = {"x": 0.0, "y": math.pi / 2}[along] + (math.pi if turned else 0.0)
    pose = turn_about_axis((0, 0, 0), (0, 0, 1), turn) @ turn_about_axis(
        (0, 0, 0), (1, 0, 0), math.pi / 2
    )
    pose[:3, 3] = (*at, 0.0)
    return Part(profile, PLY, pose, name)


def stepped():
    """High to the left and low to the right, so that its slots open at different ends."""
    corners = [(-60, 0), (0, 0), (0, -20), (60, -20), (60, 40), (0, 40), (0, 60), (-60, 60)]
    return Profile(Loop.through(corners))


def trellis():
    """Two stepped sheets across two rails; each slot that is shortest locks the next."""
    rail = rectangle(120.0, 40.0, (0.0, 20.0))
    return [
        upright(stepped(), "near", at=(0.0, -30.0)),
        upright(stepped(), "far", at=(0.0, 30.0), turned=True),
        upright(rail, "left", along="y", at=(-30.0, 0.0)),
        upright(rail, "right", along="y", at=(30.0, 0.0)),
    ]


CROSSINGS = [Joint(0, 2), Joint(0, 3), Joint(1, 2), Joint(1, 3)]


def as_opened(parts, joints, opening, groups):
    sided = [replace(j, a_opens=o) for j, o in zip(joints, opening.opens, strict=True)]
    shapes = join_parts(parts, sided, groups=groups).profiles
    return [replace(p, profile=shapes[g]) for p, g in zip(parts, groups, strict=True)]


@pytest.mark.parametrize("groups", [[0, 1, 2, 3], [0, 0, 1, 2]], ids=["apart", "copies"])
def test_a_trellis_locked_by_its_shortest_slots_goes_together_once_turned(groups):
    parts = trellis()
    shapes = join_parts(parts, CROSSINGS, groups=groups).profiles
    locked = [replace(p, profile=shapes[g]) for p, g in zip(parts, groups, strict=True)]
    assert assembly_order(locked).blocked == (0, 1, 2, 3)
    opening = open_for_assembly(parts, CROSSINGS, groups=groups)
    assert opening.order.can_be_built
    assert opening.turnings
    turned = {n for n, side in enumerate(opening.opens) if side != "auto"}
    assert turned == {n for turning in opening.turnings for n in turning.joints}
    if groups[0] == groups[1]:
        # The near sheet's left slot is the far one's right slot: they turn together.
        assert turned in ({0, 3}, {1, 2})
    built = as_opened(parts, CROSSINGS, opening, groups)
    check = check_assembly(built, [])
    assert check.clashes == ()
    assert check.order.can_be_built
    freed = opening.turnings[0].part
    assert f"“{parts[freed].name}” can be pushed in" in opening.message


def test_sides_a_person_chose_stay():
    parts = trellis()
    chosen = [replace(joint, a_opens="start") for joint in CROSSINGS[:1]] + CROSSINGS[1:]
    opening = open_for_assembly(parts, chosen)
    assert opening.order.can_be_built
    assert opening.opens[0] == "start"
    assert all(0 not in turning.joints for turning in opening.turnings)
    # As the shortest would have it, but typed: nothing may be turned, and the locked are named.
    sides = ("start", "end", "end", "start")
    typed = [replace(j, a_opens=side) for j, side in zip(CROSSINGS, sides, strict=True)]
    opening = open_for_assembly(parts, typed)
    assert opening.opens == ("start", "end", "end", "start")
    assert opening.turnings == ()
    assert opening.order.blocked == (0, 1, 2, 3)
    assert "“near”, “far”, “left”, “right” lock each other" in opening.message


def test_copies_whose_shortest_slots_contradict_each_other_are_made_to_agree():
    parts, groups = trellis(), [0, 1, 2, 2]
    # Both rails are one shape: cut the shortest way, it would be slotted from both its edges.
    shapes = join_parts(parts, CROSSINGS, groups=groups).profiles
    built = [replace(p, profile=shapes[g]) for p, g in zip(parts, groups, strict=True)]
    check = check_assembly(built, [])
    assert check.clashes == ()
    assert check.order.can_be_built
    assert open_for_assembly(parts, CROSSINGS, groups=groups).opens == ("auto",) * 4
    # Sides chosen by hand stay, and then it is said that they cut the rail apart.
    typed = [replace(CROSSINGS[0], a_opens="start"), *CROSSINGS[1:]]
    with pytest.raises(AssemblyError, match="would sever"):
        join_parts(parts, typed, groups=groups)


def box_mesh(low, high):
    ends = np.array((low, high), dtype=float)
    vertices = np.array(
        [ends[[i, j, k], [0, 1, 2]] for i in (0, 1) for j in (0, 1) for k in (0, 1)]
    )
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    return vertices, np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))])


def under_a_shelf():
    """A board held between table, shelf and walls; another stands through the shelf's gap."""
    boxes = [
        box_mesh((-100, -100, -30), (100, 100, -21)),
        box_mesh((-100, -100, 62), (-5, 100, 70)),
        box_mesh((5, -100, 62), (100, 100, 70)),
        box_mesh((-100, -100, -21), (100, -32, 62)),
        box_mesh((-100, 32, -21), (100, 100, 62)),
    ]
    vertices = np.vstack([v for v, _ in boxes])
    triangles = np.vstack([t + 8 * i for i, (_, t) in enumerate(boxes)])
    parts = [
        upright(rectangle(80.0, 60.0, (0.0, 30.0)), "board"),
        upright(rectangle(60.0, 95.0, (0.0, 27.5)), "blade", along="y"),
    ]
    return parts, (vertices, triangles)


def test_a_blade_comes_in_through_the_gap_over_a_board_that_cannot_move():
    parts, shelf = under_a_shelf()
    joints = [Joint(0, 1)]
    shapes = join_parts(parts, joints).profiles
    straight = [replace(p, profile=s) for p, s in zip(parts, shapes, strict=True)]
    assert assembly_order(straight).can_be_built
    assert assembly_order(straight, fixture=shelf).blocked == (0, 1, 2)
    opening = open_for_assembly(parts, joints, fixture=shelf)
    # The board's slot has to open at its upper edge, however long that makes it.
    assert opening.opens == ("end",)
    assert opening.order.steps[-1].parts == (1,)
    assert opening.order.steps[-1].direction == pytest.approx((0.0, 0.0, -1.0), abs=1e-9)
    assert opening.message.startswith("1 joint opens the other way, so that “blade” can be pushed")
    # Without the shelf the shortest side does, and nothing is turned.
    free = open_for_assembly(parts, joints)
    assert free.opens == ("auto",)
    assert "shortest way already" in free.message


def test_windowed_boards_in_three_planes_stay_locked_whatever_is_turned():
    window = Loop.through([(-5, -5), (5, -5), (5, 5), (-5, 5)])
    outer = Loop.through([(-30, -30), (30, -30), (30, 30), (-30, 30)])
    poses = (
        ("xy", np.eye(4)),
        ("xz", turn_about_axis((0, 0, 0), (1, 0, 0), math.pi / 2)),
        ("yz", turn_about_axis((0, 0, 0), (1, 1, 1), 2 * math.pi / 3)),
    )
    parts = [Part(Profile(outer, (window,)), PLY, pose, name) for name, pose in poses]
    joints = [Joint(0, 1), Joint(1, 2), Joint(0, 2)]
    opening = open_for_assembly(parts, joints)
    assert opening.order.blocked == (0, 1, 2)
    assert opening.opens == ("auto", "auto", "auto")
    assert "lock each other" in opening.message


def test_no_parts_need_no_sides():
    assert open_for_assembly([], []).opens == ()


def test_the_search_can_be_stopped():
    def stop(fraction, message):
        if message.startswith("Turning"):
            raise Cancelled

    with pytest.raises(Cancelled):
        open_for_assembly(trellis(), CROSSINGS, progress=stop)
