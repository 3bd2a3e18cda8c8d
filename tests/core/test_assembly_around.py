"""Standing a bracket around a post."""

import numpy as np
import pytest

from geometry.assembly.around import clear_distance, stand_around, usual_count
from geometry.errors import AssemblyError
from geometry.outline import Loop, Profile


def post(radius=30.0, low=40.0, high=200.0, sides=48):
    """A prism that only hangs above the floor: a bracket must turn its low side to it."""
    turn = np.arange(sides) / sides * 2 * np.pi
    rim = np.column_stack((radius * np.cos(turn), radius * np.sin(turn)))
    vertices = np.vstack(
        (
            np.column_stack((rim, np.full(sides, low))),
            np.column_stack((rim, np.full(sides, high))),
            [[0, 0, low], [0, 0, high]],
        )
    )
    triangles = []
    for i in range(sides):
        j = (i + 1) % sides
        triangles += [
            (i, j, sides + j),
            (i, sides + j, sides + i),
            (2 * sides, j, i),
            (2 * sides + 1, sides + i, sides + j),
        ]
    return vertices, np.array(triangles)


def bracket():
    corners = [(0, 0), (90, 0), (90, 20), (20, 20), (20, 80), (0, 80)]
    return Profile(Loop.through(corners))


def world(pose, profile):
    flat = profile.outer.flatten(0.01)
    return np.column_stack((flat, np.zeros(len(flat)), np.ones(len(flat)))) @ pose.T


def test_tall_side_is_turned_away_from_the_fixture():
    first = stand_around(bracket(), 3.0, *post(), count=6, distance_mm=10.0, floor_mm=0.0)[0]
    points = world(first, bracket())
    assert points[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    assert points[:, 0].min() == pytest.approx(10.0, abs=1e-9)
    assert points[points[:, 2] > 70.0, 0].min() > 30.0


def test_copies_are_spread_evenly():
    poses = stand_around(bracket(), 3.0, *post(), count=6, distance_mm=10.0, floor_mm=0.0)
    middles = np.array([world(pose, bracket())[:, :3].mean(axis=0) for pose in poses])
    turns = np.sort(np.degrees(np.arctan2(middles[:, 1], middles[:, 0])) % 360.0)
    assert np.allclose(np.diff(turns), 60.0)


def test_chosen_facing_is_kept_even_if_it_is_in_the_way():
    poses = [
        stand_around(
            bracket(), 3.0, *post(), count=1, distance_mm=10.0, floor_mm=0.0, facing=way, foot=0
        )[0]
        for way in ("drawn", "turned")
    ]
    tall = [world(p, bracket()) for p in poses]
    assert tall[0][tall[0][:, 2] > 70.0, 0].min() == pytest.approx(10.0)
    assert tall[1][tall[1][:, 2] > 70.0, 0].min() == pytest.approx(80.0)


def test_missing_foot_is_said_plainly():
    with pytest.raises(AssemblyError, match="no number 9"):
        stand_around(bracket(), 3.0, *post(), count=1, distance_mm=0.0, floor_mm=0.0, foot=9)


def test_a_part_is_not_laid_on_its_back_unasked_and_its_foot_is_told():
    # Lying, the bracket would clear a wide post by far; it stands all the same.
    wide = post(radius=60.0, low=25.0)
    taken = []
    poses = stand_around(bracket(), 3.0, *wide, count=4, distance_mm=0.0, floor_mm=0.0, taken=taken)
    points = world(poses[0], bracket())
    assert np.ptp(points[:, 2]) == pytest.approx(80.0)
    (told,) = taken
    assert (told.foot, told.length_mm) == (0, pytest.approx(90.0))
    # Asked to, it lies on the edge that was its back.
    taken.clear()
    poses = stand_around(
        bracket(), 3.0, *wide, count=4, distance_mm=0.0, floor_mm=0.0, foot=1, taken=taken
    )
    assert taken[0].foot == 1
    assert taken[0].length_mm == pytest.approx(80.0)
    assert np.ptp(world(poses[0], bracket())[:, 2]) == pytest.approx(90.0)


def test_without_a_level_edge_the_longest_is_the_foot():
    turned = bracket().rotated(np.radians(100.0))
    taken = []
    stand_around(turned, 3.0, *post(), count=1, distance_mm=0.0, floor_mm=0.0, taken=taken)
    assert taken[0].length_mm in (pytest.approx(80.0), pytest.approx(90.0))


@pytest.mark.parametrize("gap", [0.0, 0.4, 5.0])
def test_parts_stand_as_near_as_the_required_gap_lets_them(gap):
    plate = Profile(Loop.through([(0, 0), (50, 0), (50, 90), (0, 90)]))
    away = clear_distance(plate, 3.0, *post(radius=30.0), count=6, required_mm=gap, floor_mm=0.0)
    # The post of 48 sides is as wide as its corners along the first part's plane.
    assert away == pytest.approx(30.0 + gap, abs=0.02)
    below = Profile(Loop.through([(0, 0), (50, 0), (50, 30), (0, 30)]))
    away = clear_distance(below, 3.0, *post(radius=30.0), count=6, required_mm=gap, floor_mm=0.0)
    # Nothing is in the way: six parts of 3 mm miss each other from 1.5 / tan 30° on.
    assert away == pytest.approx(1.5 / np.tan(np.pi / 6.0), abs=0.02)


@pytest.mark.parametrize(("sides", "count"), [(3, 3), (4, 4), (6, 6), (8, 8), (48, 6)])
def test_as_many_stand_around_as_the_fixture_has_corners(sides, count):
    vertices, _ = post(sides=sides)
    assert usual_count(vertices, (0, 0, 0), (0, 0, 1)) == count
    assert usual_count(np.add(vertices, (70.0, -20.0, 5.0)), (70.0, -20.0, 0), (0, 0, 1)) == count
