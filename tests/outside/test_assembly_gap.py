"""Distances in space between flat parts and solids, against python-fcl on the same triangles."""

import fcl
import numpy as np
import pytest
import trimesh
from trimesh.transformations import random_rotation_matrix

from geometry.assembly import Part, clearance
from geometry.assembly.solids.solid_gap import space_gap
from geometry.outline import rectangle, ring
from geometry.part import Stock

pytestmark = pytest.mark.outside

SOLIDS = [
    trimesh.creation.icosphere(2, 20.0),
    trimesh.creation.box((30.0, 20.0, 10.0)),
    trimesh.creation.cone(15.0, 40.0, sections=16),
    trimesh.creation.torus(20.0, 6.0),
]


def their_distance(*meshes):
    objects = []
    for mesh in meshes:
        model = fcl.BVHModel()
        model.beginModel(len(mesh.faces), len(mesh.vertices))
        model.addSubModel(mesh.vertices, mesh.faces)
        model.endModel()
        objects.append(fcl.CollisionObject(model))
    return fcl.distance(*objects, fcl.DistanceRequest(), fcl.DistanceResult())


@pytest.mark.parametrize("kind", range(4))
@pytest.mark.parametrize("seed", range(12))
def test_gap_in_space_is_fcl_s(kind, seed):
    """To fcl's own tolerance; it counts an overlap as a negative distance.

    Its ring is made of chords within 1e-4 mm; ours is round where the nearest place is beside it.
    """
    draw = np.random.default_rng(100 * kind + seed)
    thickness = draw.uniform(1.0, 6.0)
    if seed % 2:
        profile = rectangle(draw.uniform(20.0, 80.0), draw.uniform(20.0, 60.0))
    else:
        profile = ring(draw.uniform(50.0, 80.0), draw.uniform(20.0, 45.0))
    pose = random_rotation_matrix(draw.uniform(size=3))
    pose[:3, 3] = draw.uniform(-60.0, 60.0, 3)
    fixture = SOLIDS[kind].copy()
    fixture.apply_transform(random_rotation_matrix(draw.uniform(size=3)))
    part = Part(profile, Stock("ply", thickness, 0.1), pose)
    solid = trimesh.creation.extrude_polygon(profile.polygon(1e-4), thickness)
    solid.apply_translation((0.0, 0.0, -thickness / 2.0))
    solid.apply_transform(pose)
    expected = their_distance(solid, fixture)
    found = space_gap(part, fixture.vertices, fixture.faces)
    if expected <= 0.0:
        assert found is None
        assert clearance(part, fixture.vertices, fixture.faces).overlap_mm2 > 0.0
    else:
        assert found.gap_mm == pytest.approx(expected, abs=1e-6 if seed % 2 else 1e-4)


def test_a_needle_between_samples_is_found():
    """A spike 1 µm wide over the plate, its tip 0.25 mm above the face: the tip's own height."""
    tip = np.array([[7.123, 3.456, 1.75], [7.1235, 3.456, 30.0], [7.123, 3.4565, 30.0]])
    part = Part(rectangle(100.0, 60.0), Stock("ply", 3.0, 0.1), np.eye(4))
    found = space_gap(part, tip, np.array([[0, 1, 2]]))
    assert found.gap_mm == pytest.approx(0.25, abs=1e-9)
    assert found.place == pytest.approx((7.123, 3.456, 1.625), abs=1e-9)
