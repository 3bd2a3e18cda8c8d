"""Poses from faces, edges and mirrors."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.assembly import Part, interference, turn_about_axis
from geometry.assembly.joints.tabslot import tab_slot
from geometry.assembly.mating import (
    lie_on_face,
    mate_edges,
    mirrored,
    stand_on_face,
    straight_edges,
)
from geometry.errors import AssemblyError
from geometry.outline import circle, rectangle
from geometry.part import Stock

PLY = Stock("Plywood", 3.0, 0.2)
PLATE = rectangle(100.0, 60.0)
directions = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1)
angles = st.floats(-3.0, 3.0)


def corners(pose, profile, thickness):
    x0, y0, x1, y1 = profile.bounds_mm
    own = [
        (x, y, z, 1.0) for x in (x0, x1) for y in (y0, y1) for z in (-thickness / 2, thickness / 2)
    ]
    return (np.array(own) @ pose.T)[:, :3]


@given(directions, angles)
def test_a_standing_part_touches_the_face_with_its_foot_only(normal, heading):
    up = np.array(normal) / np.linalg.norm(normal)
    pose = stand_on_face(PLATE, (5.0, 6.0, 7.0), normal, heading_rad=heading)
    heights = (corners(pose, PLATE, 3.0) - (5.0, 6.0, 7.0)) @ up
    assert heights.min() == pytest.approx(0.0, abs=1e-9)
    # It stands on its longest edge, so it is as high as it is narrow.
    assert heights.max() == pytest.approx(60.0, abs=1e-9)


@given(directions, angles)
def test_a_lying_part_rests_on_the_face(normal, heading):
    up = np.array(normal) / np.linalg.norm(normal)
    pose = lie_on_face(PLATE, 3.0, (5.0, 6.0, 7.0), normal, heading_rad=heading)
    places = corners(pose, PLATE, 3.0)
    heights = (places - (5.0, 6.0, 7.0)) @ up
    assert sorted(heights) == pytest.approx([0.0] * 4 + [3.0] * 4, abs=1e-9)
    assert places.mean(axis=0) == pytest.approx(np.array((5.0, 6.0, 7.0)) + 1.5 * up, abs=1e-9)


def test_a_part_without_that_foot_is_refused():
    with pytest.raises(AssemblyError, match="0 straight edges"):
        stand_on_face(circle(20.0), (0, 0, 0), (0, 0, 1))
    with pytest.raises(AssemblyError, match="4 straight edges"):
        stand_on_face(PLATE, (0, 0, 0), (0, 0, 1), foot=4)


@given(st.floats(0.6, 2.5), st.booleans(), st.booleans(), st.integers(0, 3), directions)
def test_mated_edges_run_together_and_sheets_only_touch(angle, turned, below, which, axis):
    still = Part(PLATE, PLY, turn_about_axis((1, 2, 3), axis, 0.7), "Base")
    edge, still_edge = straight_edges(PLATE)[0], straight_edges(PLATE)[which]
    pose = mate_edges(
        edge, 3.0, still_edge, 3.0, still.pose, angle_rad=angle, turned=turned, below=below
    )
    assert np.linalg.det(pose[:3, :3]) == pytest.approx(1.0)
    assert interference(Part(PLATE, PLY, pose), still).volume_mm3 < 1e-6
    middle = pose[:3, :2] @ np.mean((edge.start, edge.end), axis=0) + pose[:3, 3]
    there = still.pose[:3, :2] @ np.mean((still_edge.start, still_edge.end), axis=0)
    offset = middle - there - still.pose[:3, 3]
    along = still.pose[:3, :2] @ np.array(still_edge.tangent_at(0.0))
    assert float(offset @ along) == pytest.approx(0.0, abs=1e-9)
    assert abs(float(pose[:3, 2] @ still.pose[:3, 2])) == pytest.approx(abs(math.cos(angle)))


def test_a_box_corner_is_flush_and_takes_tabs():
    base = Part(PLATE, PLY, np.eye(4), "Base")
    edge = straight_edges(PLATE)[0]
    pose = mate_edges(edge, 3.0, edge, 3.0, base.pose)
    wall = Part(PLATE, PLY, pose, "Wall")
    places = corners(pose, PLATE, 3.0)
    assert places[:, 1].min() == pytest.approx(-30.0, abs=1e-9)
    assert places[:, 2].min() == pytest.approx(1.5, abs=1e-9)
    assert tab_slot(wall, base).opens


@given(directions, angles)
def test_a_mirror_image_is_the_same_sheet_turned_over(normal, turn):
    pose = turn_about_axis((4, 5, 6), (1, 1, 0), turn)
    image = mirrored(pose, (1.0, 2.0, 3.0), normal)
    n = np.array(normal) / np.linalg.norm(normal)
    wanted = corners(pose, PLATE, 3.0)
    wanted = wanted - 2.0 * np.outer((wanted - (1.0, 2.0, 3.0)) @ n, n)
    found = corners(image, PLATE, 3.0)
    assert np.linalg.det(image[:3, :3]) == pytest.approx(1.0)
    # The same corners; upper and lower face have changed places.
    pairs = wanted.reshape(-1, 2, 3)[:, ::-1].reshape(-1, 3)
    assert found == pytest.approx(pairs, abs=1e-9)
    assert mirrored(image, (1.0, 2.0, 3.0), normal) == pytest.approx(pose, abs=1e-9)


@pytest.mark.parametrize("angle", [0.0, math.pi, -1.0, math.nan])
def test_sheets_that_lie_on_each_other_have_no_mate(angle):
    edge = straight_edges(PLATE)[0]
    with pytest.raises(AssemblyError, match="between 0 and 180"):
        mate_edges(edge, 3.0, edge, 3.0, np.eye(4), angle_rad=angle)
