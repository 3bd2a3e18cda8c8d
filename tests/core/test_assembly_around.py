"""Standing a bracket around a post."""

import numpy as np
import pytest

from geometry.assembly.around import stand_around
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
