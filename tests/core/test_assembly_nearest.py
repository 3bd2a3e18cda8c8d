"""The shortest line from an outline to straight edges, and the gap to a shadow not drawn."""

import math

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry.assembly import Part, clearance, clearance_to_shadow, slab_silhouette
from geometry.assembly.solids.nearest import shortest_line
from geometry.outline import Arc, Cubic, Line, Loop, Profile
from geometry.part import Stock

PLY = Stock("ply", 3.0, 0.1)
# As in the product, where places are rounded too.
numbers = st.floats(-30.0, 30.0).map(lambda x: round(x, 6))
places = st.tuples(numbers, numbers)


def lens(bulge, size=10.0):
    """Two bulging edges between (−size, 0) and (size, 0)."""
    a, b = (-size, 0.0), (size, 0.0)
    return Loop((Arc.from_bulge(a, b, bulge), Arc.from_bulge(b, a, bulge)))


def by_chords(loops, start, end):
    chords = shapely.union_all([shapely.LinearRing(loop.flatten(1e-7)) for loop in loops])
    return shapely.distance(chords, shapely.linestrings(np.stack((start, end), axis=1))).min()


@given(st.lists(st.tuples(places, places), min_size=1, max_size=8), st.floats(0.05, 1.5))
@settings(max_examples=150, deadline=None)
def test_it_is_as_short_as_by_fine_chords(edges, bulge):
    edges = np.array(edges)
    assume((edges[:, 0] != edges[:, 1]).any(axis=1).all())
    loops = (lens(bulge), Loop.circle((40.0, 3.0), 4.0), Loop.through([(0, 25), (5, 28), (-5, 29)]))
    found = shortest_line(loops, edges[:, 0], edges[:, 1])
    assert found.length_mm == pytest.approx(by_chords(loops, edges[:, 0], edges[:, 1]), abs=2e-7)
    assert math.dist(found.own, found.other) == pytest.approx(found.length_mm, abs=1e-9)


def test_ends_lie_on_the_arc_and_on_the_edge():
    found = shortest_line(
        (Loop.circle((0, 0), 5.0),), np.array([[-9.0, 8.0]]), np.array([[9.0, 8.0]])
    )
    assert found.length_mm == pytest.approx(3.0, abs=1e-12)
    assert found.own == pytest.approx((0.0, 5.0), abs=1e-12)
    assert found.other == pytest.approx((0.0, 8.0), abs=1e-12)


@pytest.mark.parametrize(
    ("start", "end"), [((-9, 0), (9, 0)), ((0, 0), (0, 9)), ((3, 4), (3, 4)), ((-9, 5), (9, 5))]
)
def test_what_crosses_or_touches_a_circle_is_at_no_distance(start, end):
    found = shortest_line((Loop.circle((0, 0), 5.0),), np.array([start]), np.array([end]))
    assert found.length_mm == pytest.approx(0.0, abs=1e-12)


def test_centre_of_an_arc_is_its_radius_away():
    found = shortest_line(
        (Loop.circle((1, 2), 5.0),), np.array([[1.0, 2.0]]), np.array([[1.0, 2.0]])
    )
    assert found.length_mm == 5.0


def test_other_curves_are_taken_as_chords():
    top = Cubic((0.0, 0.0), (0.0, 4.0), (6.0, 4.0), (6.0, 0.0))
    loop = Loop((top, Line((6.0, 0.0), (0.0, 0.0))))
    found = shortest_line((loop,), np.array([[3.0, 5.0]]), np.array([[4.0, 9.0]]))
    assert found.length_mm == pytest.approx(2.0, abs=1e-4)


def solid(kind):
    """A mesh, (N, 3) vertices and (M, 3) triangles."""
    ball = trimesh.creation.icosphere(2, 12.0)
    if kind == "hollow":
        inner = trimesh.creation.icosphere(2, 7.0)
        inner.invert()
        ball = trimesh.util.concatenate([ball, inner])
    elif kind == "upright":
        ball = trimesh.creation.box((14.0, 9.0, 60.0))
    elif kind == "bridged":
        # A cross with a lid over its notches, which only the lid's own rim bounds.
        lid = trimesh.creation.box((20.0, 20.0, 0.4))
        lid.apply_translation((0.0, 0.0, 0.9))
        arms = [trimesh.creation.box(size) for size in ((24.0, 4.0, 30.0), (4.0, 24.0, 30.0))]
        ball = trimesh.util.concatenate([*arms, lid])
    elif kind == "inside out":
        ball.invert()
    elif kind == "soup":
        ball = trimesh.Trimesh(
            ball.triangles.reshape(-1, 3),
            np.arange(len(ball.faces) * 3).reshape(-1, 3),
            process=False,
        )
    triangles = np.array(ball.faces)
    if kind == "torn":
        triangles = np.delete(triangles, [3, 40], axis=0)
    elif kind == "some flipped":
        triangles[::7] = triangles[::7, ::-1]
    return np.array(ball.vertices), triangles


KINDS = ("ball", "hollow", "upright", "bridged", "inside out", "soup", "torn", "some flipped")


@given(st.sampled_from(KINDS), places, st.floats(-math.pi, math.pi), st.floats(-12.0, 12.0))
@settings(max_examples=150, deadline=None)
def test_gap_is_that_to_the_drawn_shadow(kind, place, turn, height):
    vertices, triangles = solid(kind)
    tilt = trimesh.transformations.rotation_matrix(turn, (1.0, 0.3, 0.2))
    tilt[:3, 3] = tilt[:3, :3] @ (*place, height)
    loops = (lens(0.6, 5.0), Loop.circle((0, 0), 2.0))
    part = Part(Profile(loops[0], loops[1:]), PLY, tilt)
    drawn = slab_silhouette(vertices, triangles, tilt, 3.0)
    known = clearance_to_shadow(part, drawn.geometry, drawn.warnings)
    found = clearance(part, vertices, triangles)
    assume(abs(known.gap_mm) > 2e-4)
    assert found.gap_mm == pytest.approx(known.gap_mm, abs=2e-4)
    assert found.overlap_mm2 == pytest.approx(known.overlap_mm2, abs=1e-3)
    assert found.warnings == known.warnings


@pytest.mark.parametrize("kind", KINDS)
def test_fixture_inside_the_opening_and_part_inside_the_hollow(kind):
    vertices, triangles = solid(kind)
    for size, bore in ((60.0, 40.0), (4.0, 1.0)):
        part = Part(
            Profile(Loop.circle((0, 0), size / 2), (Loop.circle((0, 0), bore / 2),)), PLY, np.eye(4)
        )
        drawn = slab_silhouette(vertices, triangles, np.eye(4), 3.0)
        known = clearance_to_shadow(part, drawn.geometry)
        assert clearance(part, vertices, triangles).gap_mm == pytest.approx(known.gap_mm, abs=2e-4)
