"""Cross-laps and common volumes against printed tables, manifold3d and python-fcl."""

import math

import fcl
import manifold3d
import numpy as np
import pytest
import trimesh

from geometry.assembly import (
    Part,
    apply_cuts,
    clearance,
    cross_lap,
    interference,
    lie_across_axis,
    turn_about_axis,
)
from geometry.outline import Loop, Profile
from geometry.part import Stock

pytestmark = pytest.mark.outside

# Width of a slot cut square to sheet 1 for sheet 2, t2 / sin θ + t1 |cot θ|, and the area
# t1 t2 / sin θ of the crossing: elementary trigonometry, worked by hand.
TABLE = [
    (3, 3, 90, 3.0, 3.0, 9.0),
    (3, 3, 60, 5.196152, 5.196152, 10.392305),
    (3, 3, 45, 7.242641, 7.242641, 12.727922),
    (3, 6, 60, 8.660254, 6.928203, 20.784610),
    (4, 3, 30, 12.928203, 13.196152, 24.0),
    (5, 5, 75, 6.516127, 6.516127, 25.881905),
    (6, 3, 120, 6.928203, 8.660254, 20.784610),
]


def board(x0, y0, x1, y1):
    return Profile(Loop.through([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))


def pair(t1, t2, angle_deg):
    tilt = turn_about_axis((0, 0, 0), (1, 0, 0), math.radians(angle_deg))
    a = Part(board(-50, -40, 50, 40), Stock("one", t1, 0.1), np.eye(4))
    return a, Part(board(-30, -40, 70, 40), Stock("two", t2, 0.1), tilt)


def solid(part):
    """The part as manifold3d's own extrusion."""
    polygon = part.profile.polygon(1e-3)
    rings = [np.asarray(r.coords)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    flat = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    t = part.stock.thickness_mm
    return manifold3d.Manifold.extrude(flat, t).translate((0, 0, -t / 2)).transform(part.pose[:3])


@pytest.mark.parametrize(("t1", "t2", "angle", "w1", "w2", "area"), TABLE)
def test_slot_widths_and_crossing_areas_are_the_table_s(t1, t2, angle, w1, w2, area):
    a, b = pair(t1, t2, angle)
    lap = cross_lap(a, b)
    assert lap.width_a_mm == pytest.approx(w1, abs=6e-7)
    assert lap.width_b_mm == pytest.approx(w2, abs=6e-7)
    assert lap.depth_a_mm + lap.depth_b_mm == pytest.approx(80.0)
    # Both boards lie between x = -30 and 50.
    assert interference(a, b).volume_mm3 == pytest.approx(80.0 * area, rel=1e-7)


@pytest.mark.parametrize(("t1", "t2", "angle", "w1", "w2", "area"), TABLE)
def test_manifold_finds_nothing_in_common_once_lapped(t1, t2, angle, w1, w2, area):
    a, b = pair(t1, t2, angle)
    lap = cross_lap(a, b)
    whole = (solid(a) ^ solid(b)).volume()
    assert whole == pytest.approx(80.0 * area, rel=1e-6)
    fitted = solid(apply_cuts(a, [lap.cut_a])) ^ solid(apply_cuts(b, [lap.cut_b]))
    assert fitted.volume() < 1e-4
    # A slot a twentieth of a mm narrower bites, so the width is not merely safe.
    tight = cross_lap(a, b, -0.05)
    bitten = solid(apply_cuts(a, [tight.cut_a])) ^ solid(apply_cuts(b, [tight.cut_b]))
    assert bitten.volume() > 1e-2


@pytest.mark.parametrize("angle", [35.0, 90.0, 140.0])
def test_common_volume_of_curved_parts_agrees_with_manifold(angle):
    ring = Profile(Loop.circle((0, 0), 40.0), (Loop.circle((5, 3), 20.0),))
    tilt = turn_about_axis((0, 0, 0), (1, 0.3, 0), math.radians(angle))
    a = Part(ring, Stock("one", 4.0, 0.1), np.eye(4))
    b = Part(ring, Stock("two", 2.5, 0.1), tilt)
    expected = (solid(a) ^ solid(b)).volume()
    assert interference(a, b).volume_mm3 == pytest.approx(expected, rel=5e-4)


def test_gap_in_the_plane_agrees_with_fcl():
    """python-fcl's distance between two meshes whose nearest points lie in the slab."""
    part = Part(board(0, 0, 20, 20), Stock("ply", 3.0, 0.1), lie_across_axis(0.0))
    post = trimesh.creation.cylinder(5.0, 40.0, sections=48)
    for place in ((30.0, 10.0, 0.0), (-9.0, -12.0, 0.0), (10.0, 27.5, 0.0)):
        moved = post.copy()
        moved.apply_transform(turn_about_axis((0, 0, 0), (0, 0, 1), 0.3))
        moved.apply_translation(place)
        ours = clearance(part, moved.vertices, moved.faces).gap_mm
        models = []
        flat = trimesh.creation.box(bounds=((0, 0, -1.5), (20, 20, 1.5)))
        for mesh in (flat, moved):
            model = fcl.BVHModel()
            model.beginModel(len(mesh.vertices), len(mesh.faces))
            model.addSubModel(mesh.vertices, mesh.faces)
            model.endModel()
            models.append(fcl.CollisionObject(model, fcl.Transform()))
        theirs = fcl.distance(*models, fcl.DistanceRequest(), fcl.DistanceResult())
        assert ours == pytest.approx(theirs, abs=1e-6)


def test_box_and_points_on_pythagorean_triangles():
    """From a square 20 mm wide to (13, 0): 3; to (13, 14): 5 (3-4-5 triangle)."""
    part = Part(board(-10, -10, 10, 10), Stock("ply", 3.0, 0.1), np.eye(4))
    for place, gap in (((13, 0, 0), 3.0), ((13, 14, 0), 5.0)):
        speck = trimesh.creation.icosphere(0, 1e-3)
        speck.apply_translation(place)
        assert clearance(part, speck.vertices, speck.faces).gap_mm == pytest.approx(gap, abs=1.1e-3)


def test_two_disks_in_one_plane_share_a_lens():
    """Area of the lens of two circles of radius r whose centres are d apart,
    2 r² acos(d / 2r) - (d / 2) √(4 r² - d²) (any handbook of mensuration)."""
    r, d, t = 30.0, 25.0, 3.0
    disk = Profile(Loop.circle((0, 0), r))
    a = Part(disk, Stock("ply", t, 0.1), np.eye(4))
    moved = np.eye(4)
    moved[0, 3] = d
    lens = 2.0 * r * r * math.acos(d / (2.0 * r)) - d / 2.0 * math.sqrt(4.0 * r * r - d * d)
    shared = interference(a, Part(disk, Stock("ply", t, 0.1), moved)).volume_mm3
    assert shared == pytest.approx(lens * t, rel=2e-5)
