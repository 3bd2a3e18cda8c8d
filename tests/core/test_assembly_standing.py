"""Standing a part on its foot beside an axis."""

from itertools import pairwise

import numpy as np
import pytest

from geometry.assembly.standing import foot_edges, standings
from geometry.errors import AssemblyError
from geometry.outline import Line, Loop, Profile
from geometry.outline.curves import Arc


def bracket():
    """An L lying turned on the bench: its 60 mm edge is the longest one it can stand on."""
    corners = [(0, 0), (60, 0), (60, 20), (20, 20), (20, 50), (0, 50)]
    return Profile(Loop.through(corners)).rotated(0.4, (10.0, 3.0)).moved(200.0, -30.0)


def placed(profile, standing):
    flat = profile.outer.flatten(0.01)
    return np.column_stack((flat, np.zeros(len(flat)), np.ones(len(flat)))) @ standing.pose.T


def test_longest_outer_edge_is_the_first_foot():
    assert foot_edges(bracket())[0].length_mm == pytest.approx(60.0)


def test_reentrant_edges_are_no_feet():
    lengths = sorted(round(edge.length_mm) for edge in foot_edges(bracket()))
    assert lengths == [20, 20, 50, 60]


def test_foot_is_on_the_floor_and_nearest_point_at_the_distance():
    for standing in standings(bracket(), 26.0, -140.0):
        points = placed(bracket(), standing)
        assert points[:, 1].min() == pytest.approx(-140.0, abs=1e-9)
        assert points[:, 0].min() == pytest.approx(26.0, abs=1e-9)


def test_poses_are_rotations_never_mirrors():
    for standing in standings(bracket(), 1.0, 0.0):
        rotation = standing.pose[:3, :3]
        assert np.linalg.det(rotation) == pytest.approx(1.0)
        assert np.allclose(rotation @ rotation.T, np.eye(3))


def test_turning_puts_the_tall_side_at_the_other_end():
    drawn, turned = standings(bracket(), 0.0, 0.0)[:2]
    tall_drawn = placed(bracket(), drawn)
    tall_turned = placed(bracket(), turned)
    assert tall_drawn[tall_drawn[:, 1].argmax(), 0] < 25.0
    assert tall_turned[tall_turned[:, 1].argmax(), 0] > 35.0


def test_round_shape_has_no_foot():
    with pytest.raises(AssemblyError, match="straight"):
        standings(Profile(Loop.circle((0.0, 0.0), 10.0)), 0.0, 0.0)


def test_a_foot_that_a_hand_cut_bowed_is_one_all_the_same():
    # 80 mm long, 0.1 mm out of straight: as an arc of 8 m radius.
    radius = (40.0**2 + 0.1**2) / (2.0 * 0.1)
    sweep = 2.0 * np.arcsin(40.0 / radius)
    bow = Arc((0.0, radius - 0.1), radius, -np.pi / 2.0 - sweep / 2.0, sweep)
    rest = [bow.end, (40.0, 30.0), (-40.0, 50.0), bow.start]
    lines = [Line(a, b) for a, b in pairwise(rest)]
    feet = foot_edges(Profile(Loop((bow, *lines))))
    level = [foot for foot in feet if abs(foot.tangent_at(0.0)[1]) < 1e-3]
    assert [round(foot.length_mm) for foot in level] == [80]
