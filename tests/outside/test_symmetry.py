"""Symmetry against published figures and elementary group theory."""

import math

import numpy as np
import pytest

from geometry.errors import SymmetryError
from geometry.outline import Axis, Loop, Profile, rectangle, regular_polygon, symmetrise
from geometry.outline.symmetry.search import overlap

pytestmark = pytest.mark.outside

RECTANGLE = Profile(Loop.through([(0, 0), (10, 0), (10, 6), (0, 6)]))
TRIANGLE = Profile(Loop.through([(0, 0), (8, 0), (0, 6)]))


@pytest.mark.parametrize(
    ("shape", "angle_deg", "expected"),
    [
        # Intersection over union with the mirror image through the centroid; 3/7 is exact, the
        # others were computed with shapely alone.
        (RECTANGLE, 0, 1.0),
        (RECTANGLE, 30, 0.528280),
        (RECTANGLE, 45, 3.0 / 7.0),
        (RECTANGLE, 90, 1.0),
        (TRIANGLE, 0, 0.5),
        (TRIANGLE, 30, 0.433867),
        (TRIANGLE, 45, 0.562791),
        (TRIANGLE, 90, 0.5),
    ],
)
def test_overlap_with_the_mirror_image(shape, angle_deg, expected):
    polygon = shape.polygon()
    center = (polygon.centroid.x, polygon.centroid.y)
    image = shape.mirrored(center, math.radians(angle_deg)).polygon()
    assert overlap(polygon, image) == pytest.approx(expected, abs=2e-6)


def test_zabrodskys_symmetry_distance_of_a_dented_hexagon():
    # Zabrodsky, Peleg, Avnir, "Symmetry as a continuous feature", PAMI 17 (1995) 1154-1166 (from
    # memory): radius 61/6, mean squared move of the six vertices 5/36.
    angles = np.arange(6) * math.pi / 3.0
    corners = 10.0 * np.column_stack((np.cos(angles), np.sin(angles)))
    corners[0] *= 1.1
    result = symmetrise(Profile(Loop.through(corners)), "rotational", 6, about=(0.0, 0.0))
    nodes = result.profile.outer.nodes()
    assert len(nodes) == 6
    assert np.hypot(*nodes.T) == pytest.approx([61.0 / 6.0] * 6, abs=1e-9)
    gaps = np.hypot(*(corners[:, None] - nodes[None]).transpose(2, 0, 1)).min(axis=1)
    assert np.mean(gaps**2) == pytest.approx(5.0 / 36.0, abs=1e-9)


def test_mirror_averaging_of_two_corners():
    # The orthogonal projection of (3, 4) and (-3.2, 4.1) on pairs about the y axis (elementary).
    drawn = Profile(Loop.through([(3, 4), (-3.2, 4.1), (-3, -4), (3, -4)]))
    result = symmetrise(drawn, about=Axis((0.0, 0.0), math.pi / 2.0))
    nodes = result.profile.outer.nodes()
    for corner in ((3.1, 4.05), (-3.1, 4.05)):
        assert np.hypot(*(nodes - corner).T).min() < 1e-9
    assert math.dist((3, 4), (3.1, 4.05)) == pytest.approx(0.1118034, abs=1e-7)


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8])
def test_a_regular_polygon_has_its_dihedral_group(sides):
    # D_N: N mirror axes through the centre and N-fold turns (elementary group theory).
    shape = regular_polygon(sides, 20.0).rotated(0.21).moved(7.0, -3.0)
    mirror = symmetrise(shape)
    assert mirror.deviation_mm.max_mm < 1e-6
    x, y = mirror.about.point
    off = (7.0 - x) * math.sin(mirror.about.angle_rad) + (3.0 + y) * math.cos(
        mirror.about.angle_rad
    )
    assert abs(off) < 1e-6
    star = symmetrise(shape, "dihedral", sides)
    assert star.about.point == pytest.approx((7.0, -3.0), abs=1e-6)
    # Axes pass the corners, one of which lies at 0.21 rad, and every half turn over N from it.
    assert abs(math.remainder(star.about.angle_rad - 0.21, math.pi / sides)) < 1e-6
    assert star.deviation_mm.max_mm < 1e-6
    turned = symmetrise(shape, "rotational", sides)
    assert turned.about == pytest.approx((7.0, -3.0), abs=1e-6)
    assert turned.deviation_mm.max_mm < 1e-6


def test_dihedral_averaging_of_one_long_corner():
    # The projection onto D_4's fixed shapes: the mean radius of the orbit (elementary), here
    # (3 · 10 + 10.4) / 4, where all four corners are one orbit lying on mirror axes.
    drawn = Profile(Loop.through([(10.4, 0), (0, 10), (-10, 0), (0, -10)]))
    result = symmetrise(drawn, "dihedral", 4, about=Axis((0.0, 0.0), 0.0))
    nodes = result.profile.outer.nodes()
    assert len(nodes) == 4
    assert np.hypot(*nodes.T) == pytest.approx([10.1] * 4, abs=1e-9)


def pinwheel(arms):
    """Arms with a hook to one side: turned onto itself, mirrored never."""
    corners = []
    for k in range(arms):
        a = 2.0 * math.pi * k / arms
        for radius, angle in ((6.0, 0.0), (30.0, 0.05), (26.0, 0.75), (12.0, 0.55)):
            corners.append((radius * math.cos(a + angle), radius * math.sin(a + angle)))
    return Profile(Loop.through(corners))


@pytest.mark.parametrize("arms", [3, 4, 5])
def test_a_pinwheel_turns_but_does_not_mirror(arms):
    assert symmetrise(pinwheel(arms), "rotational", arms).deviation_mm.max_mm < 1e-6
    with pytest.raises(SymmetryError, match="not symmetric"):
        symmetrise(pinwheel(arms))


def test_a_parallelogram_turns_by_half_but_does_not_mirror():
    shape = Profile(Loop.through([(0, 0), (40, 0), (65, 20), (25, 20)]))
    assert symmetrise(shape, "rotational", 2).about == pytest.approx((32.5, 10.0), abs=1e-6)
    with pytest.raises(SymmetryError):
        symmetrise(shape)


def test_the_axis_is_a_principal_axis_through_the_centroid():
    # Elementary: the second moments of a mirrored shape are diagonal about its axis.
    shape = Profile(Loop.through([(0, 0), (50, 6), (60, 20), (50, 34), (0, 40)])).rotated(0.4)
    axis = symmetrise(shape).about
    polygon = shape.polygon()
    c, s = math.cos(axis.angle_rad), math.sin(axis.angle_rad)
    gap = -(polygon.centroid.x - axis.point[0]) * s + (polygon.centroid.y - axis.point[1]) * c
    assert abs(gap) < 1e-6
    assert axis.angle_rad == pytest.approx(0.4, abs=1e-7)


def test_a_rectangle_mirrors_about_one_of_its_two_axes():
    result = symmetrise(rectangle(10.0, 6.0).rotated(0.3))
    turned = (result.about.angle_rad - 0.3) % (math.pi / 2.0)
    assert min(turned, math.pi / 2.0 - turned) < 1e-7
