"""Exact areas and arcs against handbook formulas.

Areas: standard handbook formulas (from memory). Bulge: tan(θ / 4) of the included angle, as
Autodesk's GetBulge page defines it; ezdxf computes centre and radius independently.
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
