"""Exact areas and arcs against handbook formulas.

Areas: standard handbook formulas (from memory). Bulge: tan(θ / 4) of the included angle, as
the published DXF reference defines it; ezdxf computes centre and radius independently.
"""

import math

import pytest
from ezdxf.math import bulge_center, bulge_radius

from geometry.outline import (
    Arc,
    Line,
    Loop,
    Profile,
    arc_sector,
    circle,
    rectangle,
    regular_polygon,
    ring,
)
from geometry.outline.curves.moments import moments_of

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("shape", "area"),
    [
        (rectangle(100.0, 60.0), 6000.0),
        # π r² of r = 10, and of 10 less 6.
        (circle(20.0), 314.159265),
        (ring(20.0, 12.0), 201.061930),
        (arc_sector(20.0, 0.0, 0.3, math.pi), 157.079633),
        # ½ r² θ of 60°.
        (arc_sector(20.0, 0.0, 0.3, math.pi / 3.0), 52.359878),
        # 3 √3 / 2 R² of R = 10.
        (regular_polygon(6, 20.0), 259.807621),
    ],
)
def test_areas_of_handbook_shapes(shape, area):
    assert shape.area_mm2 == pytest.approx(area, abs=1e-6)
    assert shape.moved(1000.0, -700.0).rotated(0.7).area_mm2 == pytest.approx(area, abs=1e-6)


def test_segment_of_a_right_angle_over_a_chord_of_100_mm():
    arc = Arc.from_bulge((0.0, 0.0), (100.0, 0.0), 0.4142136)
    segment = Profile(Loop((arc, Line((100.0, 0.0), (0.0, 0.0)))))
    # ½ r² (θ - sin θ), r = 70.710678.
    assert segment.area_mm2 == pytest.approx(1426.990817, abs=1e-3)


@pytest.mark.parametrize(
    ("degrees", "bulge"),
    [
        (30, 0.1316525),
        (45, 0.1989124),
        (60, 0.2679492),
        (90, 0.4142136),
        (120, 0.5773503),
        (180, 1.0),
        (270, 2.4142136),
    ],
)
def test_bulges_of_the_published_angles(degrees, bulge):
    assert Arc((0.0, 0.0), 5.0, 0.4, math.radians(degrees)).bulge == pytest.approx(bulge, abs=1e-7)
    arc = Arc.from_bulge((1.0, 2.0), (101.0, 32.0), bulge)
    assert math.degrees(arc.sweep_rad) == pytest.approx(degrees, abs=1e-5)
    center = bulge_center((1.0, 2.0), (101.0, 32.0), bulge)
    assert arc.center == (pytest.approx(center.x), pytest.approx(center.y))
    assert arc.radius_mm == pytest.approx(bulge_radius((1.0, 2.0), (101.0, 32.0), bulge))


def test_positive_bulge_lies_to_the_right_of_the_chord():
    arc = Arc.from_bulge((0.0, 0.0), (100.0, 0.0), 0.4142136)
    assert arc.radius_mm == pytest.approx(70.710678, abs=1e-5)
    assert arc.center == (pytest.approx(50.0), pytest.approx(50.0, abs=1e-5))
    assert arc.point_at(0.5)[1] == pytest.approx(-20.710678, abs=1e-5)


@pytest.mark.parametrize(
    ("shape", "centroid", "xx", "yy"),
    [
        # Second moments about the centroid, standard handbook formulas (from memory).
        # Circle of r = 10: π r⁴ / 4, both ways.
        (circle(20.0, (300.0, -70.0)), (300.0, -70.0), 7853.981634, 7853.981634),
        # Rectangle 100 × 60: b h³ / 12 and h b³ / 12.
        (rectangle(100.0, 60.0, (50.0, 30.0)), (50.0, 30.0), 1_800_000.0, 5_000_000.0),
        # Ring of R = 10, r = 6: π (R⁴ - r⁴) / 4.
        (ring(20.0, 12.0), (0.0, 0.0), 6836.105614, 6836.105614),
        # Half disc of r = 10: centroid 4 r / 3π; (π/8 - 8/9π) r⁴ and π r⁴ / 8.
        (arc_sector(20.0, 0.0, 0.0, math.pi), (0.0, 4.244131816), 1097.569606, 3926.990817),
        # Triangle of base 60 and height 30: b h³ / 36; h b³ / 48 for the isosceles one.
        (Profile(Loop.through([(-30, 0), (30, 0), (0, 30)])), (0.0, 10.0), 45_000.0, 135_000.0),
    ],
)
def test_second_moments_of_handbook_shapes(shape, centroid, xx, yy):
    found = moments_of(shape)
    assert found.centroid == pytest.approx(centroid, abs=1e-9)
    assert found.xx_mm4 == pytest.approx(xx, rel=1e-8)
    assert found.yy_mm4 == pytest.approx(yy, rel=1e-9)
    assert found.xy_mm4 == pytest.approx(0.0, abs=1e-6 * xx)
    assert found.area_mm2 == pytest.approx(shape.area_mm2, rel=1e-12)


def test_second_moments_turn_with_the_shape():
    # A quarter turn swaps both; by 45° the product is half their difference (from memory).
    turned = moments_of(rectangle(100.0, 60.0).rotated(math.pi / 4.0))
    assert turned.xx_mm4 == pytest.approx(3_400_000.0, rel=1e-12)
    assert turned.xy_mm4 == pytest.approx(1_600_000.0, rel=1e-12)
