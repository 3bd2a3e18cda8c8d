"""Orders that are free, forced or impossible."""

import math

import numpy as np
import pytest

from geometry.assembly import (
    Part,
    assembly_order,
    cross_lap,
    cross_laps,
    lie_across_axis,
    stand_on_axis,
    turn_about_axis,
)
from geometry.outline import Loop, Profile
from geometry.part import Stock

PLY = Stock("ply", 3.0, 0.1)


def board(x0, y0, x1, y1, *windows):
    loops = [
        Loop.through([(a, b), (c, b), (c, d), (a, d)])
        for a, b, c, d in ((x0, y0, x1, y1), *windows)
    ]
    return Profile(loops[0], tuple(loops[1:]))


def without(part, *cuts):
    rest = part.profile.polygon(1e-3)
    for cut in cuts:
        rest = rest.difference(cut.polygon())
    assert rest.geom_type == "Polygon"
    holes = tuple(Loop.through(r.coords) for r in rest.interiors)
    return Part(
        Profile(Loop.through(rest.exterior.coords), holes), part.stock, part.pose, part.name
    )


def frame(plane):
    """A square frame 60 mm outside, 40 mm inside, in one of the world's planes."""
    turns = {"xy": ((0, 0, 1), 0.0), "xz": ((1, 0, 0), math.pi / 2), "yz": ((0, 1, 0), math.pi / 2)}
    return board(-30, -30, 30, 30, (-20, -20, 20, 20)), turn_about_axis((0, 0, 0), *turns[plane])


def test_stack_of_loose_sheets_goes_together_in_the_order_given():
    parts = [
        Part(board(0, 0, 50, 30), PLY, lie_across_axis(3.0 * i), f"sheet {i}") for i in range(4)
    ]
    order = assembly_order(parts)
    assert order.can_be_built
    assert [s.parts for s in order.steps] == [(0,), (1,), (2,), (3,)]
    assert order.steps[0].direction == (0.0, 0.0, 0.0)


def test_crossed_boards_slide_along_their_line_and_only_there():
    a = Part(board(-40, -10, 40, 10), PLY, stand_on_axis(0.0), "a")
    b = Part(board(-40, -30, 40, 30), PLY, np.eye(4), "b")
    lap = cross_lap(a, b)
    order = assembly_order([without(a, lap.cut_a), without(b, lap.cut_b)])
    assert order.can_be_built
    # Slot a is open at +x, so b comes to it from +x: pushed towards -x.
    assert lap.a_opens == "end"
    assert order.steps[1].parts == (1,)
    assert order.steps[1].direction == pytest.approx((-1, 0, 0), abs=1e-9)


def test_key_goes_in_after_the_boards_whose_windows_it_passes():
    # A bar through the windows of two parallel boards holds a pin across its end.
    boards = [
        Part(board(-20, -20, 20, 20, (-5, -1.5, 5, 1.5)), PLY, lie_across_axis(z)) for z in (0, 20)
    ]
    bar = Part(
        board(-5, -30, 5, 60, (-2, 25, 2, 28)),
        PLY,
        turn_about_axis((0, 0, 0), (1, 0, 0), math.pi / 2),
    )
    # The pin's length runs along y, across the bar's face, through its window at z from 25 to 28.
    pin = Part(board(-2, -15, 2, 15), PLY, lie_across_axis(26.5))
    stop = Part(board(-2, -15, 2, 15), PLY, lie_across_axis(-26.5))
    bar = Part(board(-5, -30, 5, 60, (-2, 25, 2, 28), (-2, -28, 2, -25)), PLY, bar.pose, "bar")
    order = assembly_order([pin, stop, bar, *boards])
    assert order.can_be_built
    at = {p: i for i, s in enumerate(order.steps) for p in s.parts if len(s.parts) == 1}
    # Nothing can be threaded past both pins: one pin at least comes after bar and boards met.
    assert max(at[0], at[1]) > max(at[2], min(at[3], at[4]))
    last = order.steps[-1]
    assert last.parts in ((0,), (1,))
    assert abs(last.direction[1]) == pytest.approx(1.0)


def test_three_closed_frames_through_each_other_cannot_be_built():
    # Each frame's bars pass through the next one's window: a chain link, not a puzzle.
    parts = []
    for name, shift in (("xy", (0, 0, 0)), ("xz", (25, 0, 0))):
        profile, pose = frame(name)
        pose = pose.copy()
        pose[:3, 3] = shift
        parts.append(Part(profile, PLY, pose, name))
    loose = Part(board(0, 0, 10, 10), PLY, lie_across_axis(200.0), "loose")
    order = assembly_order([*parts, loose])
    assert not order.can_be_built
    assert order.blocked == (0, 1)
    assert "xy" in order.message
    assert [s.parts for s in order.steps] == [(2,)]
    assert order.overlapping == ()


def test_triple_whose_slots_each_close_the_way_of_the_next_is_blocked():
    # Three boards, windowed where all three would meet, crossing pairwise along x, y and z. Each
    # pair slides along its own line only, so no board can leave the other two.
    planes = (
        ("xy", np.eye(4)),
        ("xz", turn_about_axis((0, 0, 0), (1, 0, 0), math.pi / 2)),
        ("yz", turn_about_axis((0, 0, 0), (1, 1, 1), 2 * math.pi / 3)),
    )
    profile = board(-30, -30, 30, 30, (-5, -5, 5, 5))
    parts = [Part(profile, PLY, pose, name) for name, pose in planes]
    cuts = {0: [], 1: [], 2: []}
    for i, j in ((0, 1), (1, 2), (0, 2)):
        for lap in cross_laps(parts[i], parts[j]):
            cuts[i].append(lap.cut_a)
            cuts[j].append(lap.cut_b)
    slotted = [without(p, *cuts[i]) for i, p in enumerate(parts)]
    order = assembly_order(slotted)
    assert order.blocked == (0, 1, 2)
    assert order.steps == ()
    assert "lock each other" in order.message


def test_parts_that_overlap_where_they_stand_are_named():
    a = Part(board(-40, -10, 40, 10), PLY, stand_on_axis(0.0), "spine")
    b = Part(board(-40, -30, 40, 30), PLY, np.eye(4), "tray")
    order = assembly_order([a, b])
    assert order.overlapping == ((0, 1),)
    assert "spine" in order.message
    assert not order.can_be_built


def test_press_fit_goes_together_although_it_overlaps_by_a_hair():
    a = Part(board(-40, -10, 40, 10), PLY, stand_on_axis(0.0), "a")
    b = Part(board(-40, -30, 40, 30), PLY, np.eye(4), "b")
    lap = cross_lap(a, b, -0.05)
    slotted = [without(a, lap.cut_a), without(b, lap.cut_b)]
    assert assembly_order(slotted).can_be_built
    assert not assembly_order(slotted, give_mm=0.01).can_be_built


def test_pair_already_joined_is_pushed_as_one():
    # Two crossed boards keep their lap along x, but a cage lets the pair in along z only.
    a = Part(board(-20, -10, 20, 10), PLY, stand_on_axis(0.0), "a")
    b = Part(board(-20, -20, 20, 20), PLY, np.eye(4), "b")
    lap = cross_lap(a, b)
    pair = [without(a, lap.cut_a), without(b, lap.cut_b)]
    walls = [
        Part(board(-30, -30, 30, 30), PLY, pose, name)
        for name, pose in (
            ("left", _wall((-22.0, 0, 0))),
            ("right", _wall((22.0, 0, 0))),
        )
    ]
    floor = Part(board(-20, -20, 20, 20), PLY, lie_across_axis(-12.0), "floor")
    order = assembly_order([*walls, floor, *pair])
    assert order.can_be_built


def _wall(place):
    pose = turn_about_axis((0, 0, 0), (0, 1, 0), math.pi / 2)
    pose[:3, 3] = place
    return pose


def test_no_parts_need_no_order():
    assert assembly_order([]).steps == ()


def box_mesh(low, high):
    """Vertices and triangles of an upright box."""
    ends = np.array((low, high), dtype=float)
    vertices = np.array(
        [ends[[i, j, k], [0, 1, 2]] for i in (0, 1) for j in (0, 1) for k in (0, 1)]
    )
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    return vertices, np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))])


def stacked(*meshes):
    vertices, triangles, count = [], [], 0
    for v, t in meshes:
        vertices.append(v)
        triangles.append(t + count)
        count += len(v)
    return np.vstack(vertices), np.vstack(triangles)


POST = box_mesh((-10, -10, -100), (10, 10, 100))
HEAD = box_mesh((-40, -40, 60), (40, 40, 90))
FOOT = box_mesh((-40, -40, -90), (40, 40, -60))
COLLAR = Part(board(-30, -30, 30, 30, (-11, -11, 11, 11)), PLY, np.eye(4), "collar")


def test_a_collar_comes_from_the_end_of_the_post_that_is_free():
    order = assembly_order([COLLAR], fixture=stacked(POST, HEAD))
    assert order.can_be_built
    assert [s.parts for s in order.steps] == [(0,)]
    assert order.steps[0].direction == pytest.approx((0.0, 0.0, 1.0))
    upside = assembly_order([COLLAR], fixture=stacked(POST, FOOT))
    assert upside.steps[0].direction == pytest.approx((0.0, 0.0, -1.0))


@pytest.mark.parametrize("moves", [False, True])
def test_a_collar_between_head_and_foot_cannot_be_put_on(moves):
    order = assembly_order([COLLAR], fixture=stacked(POST, HEAD, FOOT), fixture_moves=moves)
    assert order.blocked == (0, 1)
    assert order.message.startswith("“collar”, the fixture lock each other")


def test_a_fixture_that_moves_is_set_in_last():
    order = assembly_order([COLLAR], fixture=stacked(POST, HEAD), fixture_moves=True)
    assert [s.parts for s in order.steps] == [(0,), (1,)]
    assert order.steps[0].direction == (0.0, 0.0, 0.0)
    assert order.steps[1].direction == pytest.approx((0.0, 0.0, -1.0))
    assert order.message.endswith("2 steps, the fixture set in as number 2.")


def test_two_halves_close_around_a_post_from_the_sides():
    halves = [
        Part(board(-30, -30, -11, 30), PLY, np.eye(4), "left"),
        Part(board(11, -30, 30, 30), PLY, np.eye(4), "right"),
    ]
    order = assembly_order(halves, fixture=stacked(POST, HEAD, FOOT))
    assert order.can_be_built
    pushes = {s.parts[0]: s.direction for s in order.steps}
    # Straight pushes in the plane, each away from its own side of the post.
    assert pushes[0][2] == pushes[1][2] == 0.0
    assert pushes[0] != (0.0, 0.0, 0.0) != pushes[1]


def test_a_part_inside_the_fixture_is_said_to_be_so():
    tight = Part(board(-30, -30, 30, 30, (-9, -9, 9, 9)), PLY, np.eye(4), "tight collar")
    order = assembly_order([tight], fixture=POST)
    assert order.overlapping == ((0, 1),)
    assert "“tight collar” and the fixture occupy the same space" in order.message
