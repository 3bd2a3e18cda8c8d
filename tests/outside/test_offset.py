"""Offsets against Steiner's formula and handbook areas.

Steiner: for convex K, area(K + dB) = A + P d + π d² (Santaló, Schneider; from memory). Our
corners are mitred, so the formula's round corners are replaced by d² tan(turn / 2) each.
"""

import math

import pytest
import shapely

from geometry.outline import Loop, Profile, rectangle, slot
from geometry.outline.curves.offset import offset

pytestmark = pytest.mark.outside


def test_mitred_rectangle_grows_to_the_handbook_size():
    # Mitred: rectangle 100 × 60 + 5 -> 110 × 70 = 7700, perimeter 360; - 5 -> 4500. Elementary.
    (grown,) = offset(rectangle(100.0, 60.0), 5.0)
    assert grown.area_mm2 == pytest.approx(7700.0, abs=1e-9)
    assert grown.outer.length_mm == pytest.approx(360.0, abs=1e-9)
    (shrunk,) = offset(rectangle(100.0, 60.0), -5.0)
    assert shrunk.area_mm2 == pytest.approx(4500.0, abs=1e-9)


def test_mitred_triangle_scales_with_its_inradius():
    # Triangle 80-60-100, inradius 20, area 2400: outwards 3 -> 2400 (23/20)² = 3174, perimeter
    # 276; inwards 3 -> 2400 (17/20)² = 1734. Elementary similarity.
    triangle = Profile(Loop.through([(0, 0), (80, 0), (0, 60)]))
    (grown,) = offset(triangle, 3.0)
    assert grown.area_mm2 == pytest.approx(3174.0, abs=1e-6)
    assert grown.outer.length_mm == pytest.approx(276.0, abs=1e-6)
    (shrunk,) = offset(triangle, -3.0)
    assert shrunk.area_mm2 == pytest.approx(1734.0, abs=1e-6)


def test_smooth_convex_shape_obeys_steiner():
    # No corners, so no mitres: A + P d + π d² exactly.
    part = slot(70.0, 20.0)
    (grown,) = offset(part, 5.0)
    wanted = part.area_mm2 + 5.0 * part.outer.length_mm + 25.0 * math.pi
    assert grown.area_mm2 == pytest.approx(wanted, abs=1e-8)


def test_round_joined_offset_of_the_reference_library_matches_the_table():
    # Rectangle 100 × 60, d = 5, round joins: 7678.539816, perimeter 351.415927 (Steiner). Our
    # mitred path holds it and exceeds it by the four corners, (4 - π) d² = 21.460184.
    (grown,) = offset(rectangle(100.0, 60.0), 5.0)
    assert grown.area_mm2 - (4.0 - math.pi) * 25.0 == pytest.approx(7678.539816, abs=1e-6)
    rounded = shapely.box(-50, -30, 50, 30).buffer(5.0, quad_segs=256)
    assert grown.polygon().buffer(1e-6).covers(rounded)


def test_l_shape_obeys_steiner_with_its_reflex_corner():
    # Round joins, d = 5: 8473.174770, perimeter 429.269908 (Steiner with one reflex corner). Ours
    # is mitred, so each of the five convex corners adds (1 - π/4) d² and (2 - π/2) d.
    corners = [(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)]
    (grown,) = offset(Profile(Loop.through(corners)), 5.0)
    rounded = grown.area_mm2 - 5.0 * (1.0 - math.pi / 4.0) * 25.0
    assert rounded == pytest.approx(8473.174770, abs=1e-6)
    length = grown.outer.length_mm - 5.0 * (2.0 - math.pi / 2.0) * 5.0
    assert length == pytest.approx(429.269908, abs=1e-6)


@pytest.mark.parametrize(
    ("degrees", "reach"),
    # Mitre length d / sin(φ / 2): 1.41421 d, 2 d, 3.8637 d. Elementary.
    [(90.0, 1.41421), (60.0, 2.0), (30.0, 3.8637)],
)
def test_mitres_reach_as_far_as_trigonometry_says(degrees, reach):
    half = math.radians(degrees) / 2.0
    x, y = 80.0 * math.cos(half), 80.0 * math.sin(half)
    part = Profile(Loop.through([(0.0, 0.0), (x, -y), (x, y)]))
    (grown,) = offset(part, 2.0)
    assert -grown.bounds_mm[0] == pytest.approx(2.0 * reach, abs=1e-4)


def test_triangle_collapses_at_its_inradius():
    triangle = Profile(Loop.through([(0, 0), (80, 0), (0, 60)]))
    assert len(offset(triangle, -19.9)) == 1
    assert offset(triangle, -20.1) == ()
