"""Silhouettes against closed formulas for sphere, cylinder and cone, and against trimesh."""

import math

import numpy as np
import pytest
import shapely
import trimesh

from geometry.assembly import (
    Part,
    clearance,
    lie_across_axis,
    silhouette,
    turn_about_axis,
)
from geometry.outline import Loop, Profile
from geometry.part import Stock

pytestmark = pytest.mark.outside

PLY = Stock("ply", 2.9, 0.1)
BALL = trimesh.creation.uv_sphere(100.0, count=[320, 314])


def radii(shape):
    return np.hypot(*shapely.get_coordinates(shape).T)


@pytest.mark.parametrize("height", [0.0, 1.0, -50.0, 80.0, -97.0, 101.3])
def test_sphere_shows_its_circle_at_the_face_nearer_the_equator(height):
    """Radius √(R² - z²) at the nearer face, R where the slab holds the equator: Pythagoras."""
    nearer = max(abs(height) - 1.45, 0.0)
    shadow = silhouette(BALL.vertices, BALL.faces, lie_across_axis(height), 2.9)
    true = math.sqrt(100.0**2 - nearer**2)
    # 320 rings of facets: a chord over π/320 rad falls 100 (1 - cos(π/640)) = 0.0012 mm short, and
    # near the pole that shows as more in the radius.
    steep = true / 100.0
    assert radii(shadow).max() == pytest.approx(true, abs=0.0013 / steep)
    assert radii(shadow).max() <= true + 1e-9
    assert len(shapely.get_rings(shadow)) == 1


def test_two_hundred_thousand_triangles_make_one_clean_ring():
    pose = turn_about_axis((0, 0, 0), (1, 2, 3), 0.7)
    sphere = trimesh.creation.uv_sphere(100.0, count=[240, 210])
    assert len(sphere.faces) > 200_000 - 1_000
    shadow = silhouette(sphere.vertices, sphere.faces, pose, 2.9)
    assert len(shapely.get_rings(shadow)) == 1
    assert radii(shadow).max() <= 100.0 + 1e-9
    assert radii(shadow).min() > 99.95


@pytest.mark.parametrize("tilt_deg", [0.0, 20.0, 50.0])
def test_leaning_cylinder_shows_an_ellipse_drawn_out_by_the_thickness(tilt_deg):
    """Section π r² / cos β, swept by t tan β over the width 2 r: plane geometry."""
    tilt, r, t = math.radians(tilt_deg), 20.0, 2.9
    count = 720
    tube = trimesh.creation.cylinder(r, 400.0, sections=count)
    shadow = silhouette(tube.vertices, tube.faces, turn_about_axis((0, 0, 0), (1, 0, 0), tilt), t)
    polygon_area = count / 2 * r * r * math.sin(2 * math.pi / count)
    expected = polygon_area / math.cos(tilt) + 2 * r * t * math.tan(tilt)
    assert shadow.area == pytest.approx(expected, rel=1e-5)


def test_cone_shows_its_radius_at_the_lower_face():
    """A cone of radius 60 and height 120 has radius (120 - z) / 2 at height z."""
    cone = trimesh.creation.cone(60.0, 120.0, sections=360)
    for height in (10.0, 63.3, 119.0):
        shadow = silhouette(cone.vertices, cone.faces, lie_across_axis(height), 2.0)
        assert radii(shadow).max() == pytest.approx((120.0 - (height - 1.0)) / 2.0, abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_shadow_of_crossing_solids_agrees_with_trimesh(seed):
    """trimesh cuts the mesh to the slab and unites its projected triangles by another route."""
    random = np.random.default_rng(seed)
    solid = trimesh.boolean.union(
        [
            trimesh.creation.torus(30.0, 9.0, major_sections=48, minor_sections=24),
            trimesh.creation.box((70.0, 12.0, 9.0)),
        ],
        engine="manifold",
    )
    solid.apply_transform(trimesh.transformations.random_rotation_matrix(random.random(3)))
    ours = silhouette(solid.vertices, solid.faces, lie_across_axis(4.0), 5.0)
    slab = trimesh.creation.box((300, 300, 5.0))
    slab.apply_translation((0, 0, 4.0))
    inside = trimesh.boolean.intersection([solid, slab], engine="manifold")
    corners = inside.vertices[inside.faces][:, :, :2]
    theirs = shapely.union_all([p for p in shapely.polygons(corners) if p.area > 1e-9])
    assert ours.symmetric_difference(theirs).area < 1e-3


def test_shaft_in_a_hole_has_its_radial_gap_less_the_eccentricity():
    """Shaft 20.0 in hole 20.4: 0.2 - e, interference e - 0.2; plane geometry."""
    shaft = trimesh.creation.cylinder(10.0, 60.0, sections=2880)
    hole = Profile(Loop.circle((0, 0), 30.0), (Loop.circle((0, 0), 10.2),))
    for eccentric, gap in ((0.0, 0.2), (0.1, 0.1), (0.15, 0.05), (0.3, -0.1), (0.5, -0.3)):
        moved = shaft.vertices + np.array([eccentric, 0.0, 0.0])
        found = clearance(Part(hole, PLY, lie_across_axis(0.0)), moved, shaft.faces)
        assert found.gap_mm == pytest.approx(gap, abs=2e-4)


def test_needle_between_samples_is_seen():
    """Nothing is sampled: a spike 0.01 mm thin shortens the gap by its length."""
    needle = trimesh.creation.box(
        (10.0, 0.01, 0.01), transform=trimesh.transformations.translation_matrix((15.0, 0, 0.777))
    )
    shaft = trimesh.creation.cylinder(10.0, 60.0, sections=64)
    fixture = trimesh.util.concatenate([shaft, needle])
    hole = Profile(Loop.circle((0, 0), 40.0), (Loop.circle((0, 0), 21.0),))
    found = clearance(Part(hole, PLY, lie_across_axis(0.0)), fixture.vertices, fixture.faces)
    assert found.gap_mm == pytest.approx(1.0, abs=2e-4)
    assert found.where == pytest.approx((20.5, 0.0), abs=0.01)


def test_torus_shows_its_ring():
    """Cut through the middle: an annulus from R - r to R + r (any handbook of mensuration)."""
    torus = trimesh.creation.torus(40.0, 10.0, major_sections=512, minor_sections=128)
    shadow = silhouette(torus.vertices, torus.faces, np.eye(4), 3.0)
    assert shadow.area == pytest.approx(math.pi * (50.0**2 - 30.0**2), rel=2e-4)
    assert len(shadow.interiors) == 1


@pytest.mark.parametrize("noise", [1e-5, 1e-3, 0.05])
def test_a_roof_seen_edge_on_is_drawn_by_what_stands_highest(noise):
    """A block whose flat top is rough: where a column of facets is highest its shadow ends.

    The slab cuts the top along two lines of the grid; between neighbouring columns of vertices the
    highest facet is a straight line, so the area is a sum of trapezia.
    """
    rng = np.random.default_rng(3)
    x, y = np.linspace(-40.0, 40.0, 161), np.linspace(-6.0, 6.0, 49)
    grid = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1)
    top = 20.0 + noise * rng.standard_normal(grid.shape[:2])
    upper = np.concatenate((grid, top[..., None]), axis=-1).reshape(-1, 3)
    lower = np.concatenate((grid, np.zeros((*top.shape, 1))), axis=-1).reshape(-1, 3)
    number = np.arange(len(upper)).reshape(top.shape)
    a, b = number[:-1, :-1].ravel(), number[1:, :-1].ravel()
    c, d = number[1:, 1:].ravel(), number[:-1, 1:].ravel()
    facets = np.concatenate((np.stack((a, b, c), 1), np.stack((a, c, d), 1)))
    rim = np.concatenate((number[:, 0], number[-1, 1:], number[-2::-1, -1], number[0, -2:0:-1]))
    after, count = np.roll(rim, -1), len(upper)
    walls = np.concatenate(
        (np.stack((rim, rim + count, after), 1), np.stack((after, rim + count, after + count), 1))
    )
    mesh = trimesh.Trimesh(
        np.concatenate((upper, lower)),
        np.concatenate((facets, facets[:, ::-1] + count, walls)),
        process=False,
    )
    assert mesh.is_watertight
    upright = np.array([[1.0, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]])
    shadow = silhouette(mesh.vertices, mesh.faces, upright, 3.0)
    # The slab's faces lie on lines of the grid, 1.5 mm to both sides.
    inside = top[:, np.abs(y) <= 1.5 + 1e-9]
    expected = shapely.union_all(
        [
            shapely.Polygon([(x[0], 0.0), *zip(x, column, strict=True), (x[-1], 0.0)])
            for column in inside.T
        ]
    ).area
    # Diagonals of the grid's squares may rise a little above both of their columns.
    assert expected - 1e-6 <= shadow.area <= expected + 80.0 * noise
    assert shadow.is_valid
    assert len(shapely.get_rings(shadow)) == 1
