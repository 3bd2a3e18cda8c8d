"""Relief of inside corners against the geometry of a circle in a wedge.

The numbers are elementary trigonometry for a cutter of radius r in a corner of angle φ: overshoot
past each wall r (1 - sin(φ / 2)); extra area in a right angle r² (π/2 - 1) along the bisector and
π r² / 2 along a wall. The opening is shapely's.
"""

import math

import pytest
import shapely

from geometry.outline import Loop, Profile, rectangle, subtract
from geometry.part.relief import relieve_corners

pytestmark = pytest.mark.outside


def wedge(angle_rad):
    """A plate with one V-shaped notch, whose tip lies at the origin and opens to the right."""
    x = 60.0
    y = x * math.tan(angle_rad / 2)
    return Profile(Loop.through([(x, y), (x, y + 20), (-40, y + 20), (-40, -y - 20), (x, -y - 20),
                                 (x, -y), (0, 0)]))  # fmt: skip


def reachable(part, radius, margin=200.0):
    """The void, and what of it a round cutter can cover."""
    x0, y0, x1, y1 = part.bounds_mm
    frame = shapely.box(x0 - margin, y0 - margin, x1 + margin, y1 + margin)
    void = shapely.difference(frame, part.polygon(2e-4))
    opened = void.buffer(-radius + 5e-4, quad_segs=200).buffer(radius, quad_segs=200)
    corners = shapely.difference(frame, frame.buffer(-2 * radius))
    return shapely.difference(void, opened.union(corners))


@pytest.mark.parametrize(("diameter", "extra"), [(6.0, 5.137167)])
def test_extra_area_at_a_right_angle(diameter, extra):
    pocket = subtract(rectangle(120.0, 90.0), rectangle(60.0, 40.0))
    relieved = relieve_corners(pocket, diameter)
    assert (pocket.area_mm2 - relieved.area_mm2) / 4 == pytest.approx(extra, abs=1e-6)


@pytest.mark.parametrize(("diameter", "overshoot"), [(6.0, 0.878680), (3.175, 0.464968)])
def test_overshoot_past_the_walls_of_a_right_angle(diameter, overshoot):
    pocket = subtract(rectangle(120.0, 90.0), rectangle(60.0, 40.0))
    hole = relieve_corners(pocket, diameter).holes[0].flatten(1e-6)
    assert hole[:, 0].max() - 30.0 == pytest.approx(overshoot, abs=2e-6)
    assert hole[:, 1].max() - 20.0 == pytest.approx(overshoot, abs=2e-6)


@pytest.mark.parametrize(("degrees", "overshoot"), [(60, 1.5), (120, 0.401924)])
def test_overshoot_at_other_angles(degrees, overshoot):
    angle = math.radians(degrees)
    part = wedge(angle)
    relieved = relieve_corners(part, 6.0)
    points = relieved.outer.flatten(1e-6)
    near = points[(points[:, 0] < 4.9) & (points[:, 0] > -2)]
    # Distance past the upper wall's line, which rises at φ / 2 from the origin.
    past = near[:, 1] * math.cos(angle / 2) - near[:, 0] * math.sin(angle / 2)
    assert past.max() == pytest.approx(overshoot, abs=2e-6)


def test_wall_relief_takes_half_a_disc_from_the_longer_wall_alone():
    pocket = subtract(rectangle(120.0, 90.0), rectangle(60.0, 40.0))
    relieved = relieve_corners(pocket, 6.0, style="wall")
    assert (pocket.area_mm2 - relieved.area_mm2) / 4 == pytest.approx(14.137167, abs=1e-6)
    hole = relieved.holes[0].flatten(1e-6)
    assert hole[:, 0].max() == pytest.approx(30.0, abs=1e-6)
    assert hole[:, 1].max() == pytest.approx(23.0, abs=2e-6)


@pytest.mark.parametrize("degrees", [20, 35, 50, 60, 75, 90, 120, 150])
def test_whole_void_is_reachable_and_the_sharp_edge_seats(degrees):
    part = wedge(math.radians(degrees))
    relieved = relieve_corners(part, 6.0)
    assert reachable(part, 3.0).area > 1e-3
    assert reachable(relieved, 3.0).buffer(-5e-4).area < 1e-6
    # What was drawn open is still open: the mating edge finds no material.
    assert shapely.difference(relieved.polygon(1e-4), part.polygon(1e-4)).area < 1e-6


def test_nominal_rectangle_seats_in_its_relieved_pocket():
    pocket = subtract(rectangle(120.0, 90.0), rectangle(60.0, 40.0))
    for style in ("corner", "wall"):
        relieved = relieve_corners(pocket, 6.35, style=style)
        void = shapely.Polygon(relieved.polygon(1e-4).interiors[0])
        assert void.buffer(1e-6).covers(shapely.box(-30, -20, 30, 20))
        assert reachable(relieved, 3.175).buffer(-5e-4).area < 1e-6
