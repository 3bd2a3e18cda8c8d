"""The shadow of a mesh within a slab: closed, hollow, open and badly turned meshes."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import lie_across_axis, silhouette, slab_silhouette, turn_about_axis
from geometry.errors import AssemblyError

SQUARE = np.array([[0, 1, 2], [0, 2, 3]])


def box(low, high):
    """Twelve outward triangles between two corners."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    vertices = np.array(
        [(x, y, z) for z in (z0, z1) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
    )
    sides = [(0, 3, 2, 1), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)]
    return vertices, np.array([t for a, b, c, d in sides for t in ((a, b, c), (a, c, d))])


def joined(*meshes):
    offset, vertices, triangles = 0, [], []
    for v, t in meshes:
        vertices.append(v)
        triangles.append(t + offset)
        offset += len(v)
    return np.concatenate(vertices), np.concatenate(triangles)


def assert_same(shape, expected, tolerance_mm2=1e-4):
    assert shape.is_valid
    assert shape.symmetric_difference(expected).area < tolerance_mm2


def test_tall_box_is_filled_although_only_its_walls_lie_in_the_slab():
    shadow = silhouette(*box((-10, -5, -100), (10, 5, 100)), np.eye(4), 3.0)
    assert_same(shadow, shapely.box(-10, -5, 10, 5))


def test_low_box_lying_inside_the_slab_is_seen_whole():
    shadow = silhouette(*box((-10, -5, -1), (10, 5, 1)), np.eye(4), 3.0)
    assert_same(shadow, shapely.box(-10, -5, 10, 5))


@pytest.mark.parametrize("bottom", [-1.5, 0.0, 1.5])
def test_box_standing_on_a_face_or_the_middle_of_the_slab_is_filled(bottom):
    shadow = silhouette(*box((0, 0, bottom), (4, 4, 50)), np.eye(4), 3.0)
    assert_same(shadow, shapely.box(0, 0, 4, 4))


def test_mesh_above_the_slab_throws_no_shadow():
    assert silhouette(*box((0, 0, 1.6), (4, 4, 50)), np.eye(4), 3.0).is_empty


def test_step_within_the_slab_shows_the_wider_half():
    mesh = joined(box((-5, -5, -50), (5, 5, 1)), box((-3, -3, 1), (3, 3, 50)))
    assert_same(silhouette(*mesh, lie_across_axis(2.0), 3.0), shapely.box(-5, -5, 5, 5))
    assert_same(silhouette(*mesh, lie_across_axis(3.0), 3.0), shapely.box(-3, -3, 3, 3))


def test_overlapping_solids_are_joined_even_if_one_is_turned_inside_out():
    low, high = box((0, 0, -9), (10, 10, 9)), box((5, 5, -9), (15, 15, 9))
    expected = shapely.union(shapely.box(0, 0, 10, 10), shapely.box(5, 5, 15, 15))
    assert_same(silhouette(*joined(low, high), np.eye(4), 2.0), expected)


def test_closed_hollow_stays_a_hole():
    inner = box((-3, -3, -40), (3, 3, 40))
    mesh = joined(box((-5, -5, -50), (5, 5, 50)), (inner[0], inner[1][:, ::-1]))
    expected = shapely.box(-5, -5, 5, 5).difference(shapely.box(-3, -3, 3, 3))
    assert_same(silhouette(*mesh, np.eye(4), 3.0), expected)


def test_mesh_turned_inside_out_throws_the_same_shadow():
    vertices, triangles = box((-10, -5, -100), (10, 5, 100))
    assert_same(
        silhouette(vertices, triangles[:, ::-1], np.eye(4), 3.0), shapely.box(-10, -5, 10, 5)
    )


def test_some_faces_turned_inside_out_are_named_and_bridged():
    vertices, triangles = box((-10, -5, -100), (10, 5, 100))
    triangles[4] = triangles[4][::-1]
    shadow = slab_silhouette(vertices, triangles, np.eye(4), 3.0)
    assert_same(shadow.geometry, shapely.box(-10, -5, 10, 5))
    assert any("point inwards" in w for w in shadow.warnings)


def test_hole_in_the_mesh_is_bridged_and_its_width_named():
    vertices, triangles = box((-10, -5, -100), (10, 5, 100))
    shadow = slab_silhouette(vertices, np.delete(triangles, [4, 5], axis=0), np.eye(4), 3.0)
    assert_same(shadow.geometry, shapely.box(-10, -5, 10, 5))
    assert any("20 mm" in w for w in shadow.warnings)


def test_unwelded_triangles_need_no_mending():
    vertices, triangles = box((-10, -5, -100), (10, 5, 100))
    soup = slab_silhouette(
        vertices[triangles].reshape(-1, 3), np.arange(36).reshape(12, 3), np.eye(4), 3
    )
    assert_same(soup.geometry, shapely.box(-10, -5, 10, 5))
    assert soup.warnings == ()


def test_slanted_prism_shows_its_reach_over_the_whole_thickness():
    # A box leaning by 45° in x: through a slab t thick it reaches t farther than through a plane.
    vertices, triangles = box((0, 0, -50), (10, 4, 50))
    vertices = vertices.astype(float)
    vertices[:, 0] += vertices[:, 2]
    assert_same(silhouette(vertices, triangles, np.eye(4), 3.0), shapely.box(-1.5, 0, 11.5, 4))


@settings(max_examples=25, deadline=None)
@given(
    st.floats(-math.pi, math.pi),
    st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: math.hypot(*v) > 0.1),
    st.tuples(*[st.floats(-200, 200)] * 3),
)
def test_moving_mesh_and_pose_together_changes_nothing(angle, axis, move):
    rigid = turn_about_axis((0, 0, 0), axis, angle)
    rigid[:3, 3] = move
    mesh = joined(box((-10, -5, -0.7), (10, 5, 30)), box((5, -20, -30), (8, 20, 0.4)))
    still = silhouette(*mesh, np.eye(4), 2.9)
    moved = silhouette(mesh[0] @ rigid[:3, :3].T + rigid[:3, 3], mesh[1], rigid, 2.9)
    assert_same(moved, still, 1e-3)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.5, 40.0))
def test_shadow_of_any_triangle_soup_is_the_union_of_its_clipped_triangles(seed, thickness):
    random = np.random.default_rng(seed)
    vertices = random.uniform(-20, 20, (24, 3))
    triangles = np.arange(24).reshape(8, 3)
    shadow = silhouette(vertices, triangles, np.eye(4), thickness)
    half = 0.5 * thickness
    for corners in vertices[triangles]:
        # Places sampled on each triangle and inside the slab must be shaded.
        weights = random.dirichlet((1, 1, 1), 40)
        places = weights @ corners
        places = places[np.abs(places[:, 2]) <= half]
        assert (shapely.distance(shadow, shapely.points(places[:, :2])) < 1e-6).all()


def test_bad_meshes_and_poses_are_refused_with_a_reason():
    vertices, triangles = box((0, 0, 0), (1, 1, 1))
    with pytest.raises(AssemblyError, match="names vertex 99"):
        silhouette(vertices, np.array([[0, 1, 99]]), np.eye(4), 3.0)
    with pytest.raises(AssemblyError, match="no faces"):
        silhouette(vertices, np.zeros((0, 3), int), np.eye(4), 3.0)
    with pytest.raises(AssemblyError, match="thickness"):
        silhouette(vertices, triangles, np.eye(4), 0.0)
    with pytest.raises(AssemblyError, match="scaled"):
        silhouette(vertices, triangles, 2.0 * np.eye(4), 3.0)
    with pytest.raises(AssemblyError, match="Vertex 3"):
        silhouette(np.where(np.arange(8)[:, None] == 3, np.nan, vertices), triangles, np.eye(4), 3)
