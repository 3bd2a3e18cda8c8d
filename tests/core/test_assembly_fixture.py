"""Clearance to a fixture, its axis and its circles."""

import math

import numpy as np
import pytest
import shapely

from geometry.assembly import (
    Part,
    around_axis,
    clearance,
    clearance_to_shadow,
    find_axis,
    fixture_circle,
    lie_across_axis,
    stand_on_axis,
    turn_about_axis,
)
from geometry.errors import AssemblyError
from geometry.outline import Loop, Profile
from geometry.part import Stock

PLY = Stock("ply", 3.0, 0.1)


def turned(profile_rz, count=96):
    """Closed mesh of revolution about z through (r, z) corners, the first and last on the axis."""
    r, z = np.array(profile_rz, dtype=float).T
    angle = 2 * np.pi * np.arange(count) / count
    vertices = np.stack(
        [
            np.outer(np.cos(angle), r),
            np.outer(np.sin(angle), r),
            np.broadcast_to(z, (count, len(r))),
        ],
        axis=-1,
    ).reshape(-1, 3)
    i, j = np.meshgrid(np.arange(count), np.arange(len(r) - 1), indexing="ij")
    a, b = i * len(r) + j, ((i + 1) % count) * len(r) + j
    quads = np.stack((a, b, b + 1, a + 1), axis=-1).reshape(-1, 4)
    return vertices, np.concatenate((quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]))


SPINDLE = turned([(0, -40), (20, -40), (20, 0), (35, 30), (0, 30)])


def ring(outer_mm, bore_mm, center=(0, 0)):
    return Profile(Loop.circle(center, outer_mm / 2), (Loop.circle(center, bore_mm / 2),))


def test_gap_lies_between_the_bore_and_the_fixture():
    part = Part(ring(80, 42), PLY, lie_across_axis(-20.0), "ring")
    found = clearance(part, *SPINDLE)
    # Corners of the mesh lie on radius 20, the bore's radius is 21.
    assert found.gap_mm == pytest.approx(1.0, abs=2e-4)
    assert math.hypot(*found.where) == pytest.approx(20.5, abs=1e-3)
    assert found.where_world[2] == pytest.approx(-20.0)
    assert found.is_clear
    assert found.overlap_mm2 == 0.0


def test_shifted_ring_runs_into_the_fixture_by_the_shift_less_the_gap():
    shadow = shapely.Point(0, 0).buffer(20.0, quad_segs=512)
    for shift, gap in ((0.5, 0.5), (1.5, -0.5)):
        part = Part(ring(80, 42, (shift, 0)), PLY, np.eye(4))
        assert clearance_to_shadow(part, shadow).gap_mm == pytest.approx(gap, abs=3e-4)
    found = clearance_to_shadow(part, shadow)
    assert not found.is_clear
    assert found.where == pytest.approx((-20.0, 0.0), abs=0.6)
    assert "Widen" in found.message


def test_fixture_that_swallows_the_part_is_deep_in_it():
    part = Part(Profile(Loop.circle((0, 0), 2.0)), PLY, lie_across_axis(-20.0))
    found = clearance(part, *SPINDLE)
    assert found.overlap_mm2 == pytest.approx(4 * math.pi, rel=1e-3)
    assert found.overlap_depth_mm > 17.0


def test_fixture_that_does_not_reach_the_part_leaves_an_infinite_gap():
    found = clearance(Part(ring(80, 42), PLY, lie_across_axis(200.0), "lid"), *SPINDLE)
    assert found.gap_mm == math.inf
    assert found.where is None
    assert "lid is not reached" in found.message
    assert found.is_clear


def test_circle_takes_the_widest_radius_within_the_thickness():
    # On the cone, 35 mm at z = 30 and 20 mm at 0, the radius grows by half a mm each mm.
    circle = fixture_circle(*SPINDLE, lie_across_axis(10.0), 3.0, ((0, 0, 0), (0, 0, 1)))
    assert circle.center == pytest.approx((0.0, 0.0), abs=1e-9)
    assert circle.radius_mm == pytest.approx(20 + 11.5 * 0.5, abs=1e-6)
    assert circle.bore_mm(0.3) == pytest.approx(2 * (25.75 + 0.3), abs=1e-5)


def test_circle_finds_its_own_centre_and_follows_a_given_one():
    pose = turn_about_axis((0, 0, 0), (0, 0, 1), 1.0)
    pose[:3, 3] = (5.0, 0.0, -20.0)
    free = fixture_circle(*SPINDLE, pose, 3.0)
    assert pose[:2, :2] @ free.center + pose[:2, 3] == pytest.approx((0.0, 0.0), abs=1e-6)
    assert free.radius_mm == pytest.approx(20.0, abs=1e-6)
    aside = fixture_circle(*SPINDLE, lie_across_axis(-20.0), 3.0, ((3, 0, 0), (0, 0, 1)))
    assert aside.radius_mm == pytest.approx(23.0, abs=0.02)


def test_circle_needs_a_fixture_there_and_an_axis_through_the_part():
    with pytest.raises(AssemblyError, match="does not reach"):
        fixture_circle(*SPINDLE, lie_across_axis(99.0), 3.0)
    with pytest.raises(AssemblyError, match="along the part's plane"):
        fixture_circle(*SPINDLE, lie_across_axis(0.0), 3.0, ((0, 0, 0), (1, 0, 0)))


@pytest.mark.parametrize("angle", [0.0, 0.3, 2.0])
def test_axis_of_a_turned_fixture_is_found_wherever_it_stands(angle):
    rigid = turn_about_axis((10, -20, 30), (1, 2, 0.5), angle)
    vertices = SPINDLE[0] @ rigid[:3, :3].T + rigid[:3, 3]
    axis = find_axis(vertices, SPINDLE[1])
    along, point = rigid[:3, 2], np.array(axis.point) - rigid[:3, 3]
    assert np.linalg.norm(np.cross(axis.direction, along)) < 1e-6
    assert np.linalg.norm(np.cross(point, along)) < 1e-5
    assert axis.doubt_mm < 0.02
    assert not axis.is_ball


def test_ball_takes_z_and_says_so():
    angle = np.linspace(-np.pi / 2, np.pi / 2, 49)
    axis = find_axis(*turned(np.column_stack((30 * np.cos(angle), 30 * np.sin(angle)))))
    assert axis.is_ball
    assert axis.direction == pytest.approx((0, 0, 1), abs=1e-9)


def test_brick_is_not_round():
    vertices = np.array([(x, y, z) for x in (0, 10) for y in (0, 20) for z in (0, 30)], dtype=float)
    hull = np.array(
        "0 1 3 0 3 2 4 6 7 4 7 5 0 4 5 0 5 1 2 3 7 2 7 6 0 2 6 0 6 4 1 5 7 1 7 3".split(), dtype=int
    )
    axis = find_axis(vertices, hull.reshape(-1, 3))
    assert "not round" in axis.message
    assert axis.doubt_mm > 1.0


def test_copies_go_round_the_axis_in_equal_steps():
    poses = around_axis(stand_on_axis(0.25), 6)
    for i, pose in enumerate(poses):
        assert pose == pytest.approx(stand_on_axis(0.25 + i * math.pi / 3), abs=1e-12)
    quarter = around_axis(np.eye(4), 3, (5, 0, 0), (0, 0, 1), math.pi / 2)
    assert quarter[2][:3, 3] == pytest.approx((5, -5, 0))
    with pytest.raises(AssemblyError, match="at least one"):
        around_axis(np.eye(4), 0)


def test_rib_stands_with_radius_outwards_and_height_along_the_axis():
    pose = stand_on_axis(math.pi / 2, (1, 2, 3), (0, 0, 2))
    assert pose @ (10, 4, 0, 1) == pytest.approx((1, 12, 7, 1))
    assert np.linalg.det(pose[:3, :3]) == pytest.approx(1.0)
    lying = lie_across_axis(7.0, (1, 2, 3), (1, 0, 0))
    assert lying @ (0, 0, 0, 1) == pytest.approx((8, 2, 3, 1))
    assert lying[:3, 2] == pytest.approx((1, 0, 0))
