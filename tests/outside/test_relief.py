"""Relief of inside corners against the geometry of a circle in a wedge.

The numbers are elementary trigonometry for a cutter of radius r in a corner of angle φ: overshoot
past each wall r (1 - sin(φ / 2)); extra area in a right angle r² (π/2 - 1) along the bisector and
π r² / 2 along a wall. At other angles, by integrating a circle and its strip beside a wedge:
along the bisector r² (π - φ - sin φ) from a right angle on and r² (π/2 - 2 + cot(φ / 2)) under it;
along a wall r² (π - φ + sin φ cos φ) and r² (π/2 + 2 cot φ). The opening is shapely's.
"""

import math

import pytest
import shapely

from geometry.outline import Loop, Profile, rectangle, subtract
from geometry.part.reach import unreached_corners
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


@pytest.mark.parametrize(
    ("degrees", "diameter", "left"),
    # What a cutter leaves along the bisector: r (1 / sin(φ / 2) - 1).
    [(90, 6.0, 1.242641), (90, 3.175, 0.657564), (90, 6.35, 1.315128), (60, 6.0, 3.0),
     (120, 6.0, 0.464102)],
)  # fmt: skip
def test_what_a_cutter_leaves_in_a_corner(degrees, diameter, left):
    (corner,) = unreached_corners(wedge(math.radians(degrees)), diameter / 2)
    assert corner.left_mm == pytest.approx(left, abs=2e-3)
    assert corner.place == (pytest.approx(0.0, abs=1e-6), pytest.approx(0.0, abs=1e-6))


@pytest.mark.parametrize(
    ("diameter", "area"),
    # Left standing in a right angle: r² (1 - π/4).
    [(6.0, 1.931417), (3.175, 0.540830), (6.35, 2.163321)],
)
def test_area_a_cutter_leaves_in_a_right_angle(diameter, area):
    # As many corners as a square pocket has, by shapely's opening of what our pocket leaves.
    pocket = subtract(rectangle(120.0, 90.0), rectangle(60.0, 40.0))
    void = shapely.Polygon(pocket.holes[0].flatten(1e-4))
    r = diameter / 2
    opened = void.buffer(-r).buffer(r, quad_segs=400)
    assert (void.area - opened.area) / 4 == pytest.approx(area, abs=1e-4)
    found = unreached_corners(pocket, r)
    assert len(found) == 4
    # Reported within the grain that the reach is judged by.
    assert sum(c.left.area for c in found) / 4 == pytest.approx(area, abs=0.05 * diameter)


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


@pytest.mark.parametrize("degrees", [40, 60, 75, 90, 105, 120, 150])
def test_extra_area_at_any_angle_and_by_either_style(degrees):
    angle, r = math.radians(degrees), 3.0
    part = wedge(angle)
    acute = degrees < 90
    cot = 1.0 / math.tan(angle)
    wanted = {
        "corner": math.pi / 2 - 2 + 1 / math.tan(angle / 2) if acute
        else math.pi - angle - math.sin(angle),
        "wall": math.pi / 2 + 2 * cot if acute
        else math.pi - angle + math.sin(angle) * math.cos(angle),
    }  # fmt: skip
    wanted["short wall"] = wanted["wall"]
    for style, area in wanted.items():
        relieved = relieve_corners(part, 2 * r, [(0.0, 0.0)], style=style)
        assert part.area_mm2 - relieved.area_mm2 == pytest.approx(r * r * area, abs=2e-6), style


@pytest.mark.parametrize("degrees", [40, 75, 90, 120])
@pytest.mark.parametrize("style", ["wall", "short wall"])
def test_wall_relief_spares_the_other_wall(degrees, style):
    # Walls of 40 and 30 mm meet at the origin; the longer lies along x, the notch opens upwards.
    angle = math.radians(degrees)
    x, y = 30 * math.cos(angle), 30 * math.sin(angle)
    part = Profile(
        Loop.through([(0, 0), (40, 0), (60, 0), (60, -20), (-60, -20), (-60, y), (x, y)])
    )
    relieved = relieve_corners(part, 6.0, [(0.0, 0.0)], style=style).polygon(1e-5)
    lost = shapely.difference(part.polygon(1e-5), relieved)
    # The spared wall's line bounds what is lost: it lies on one side of it alone.
    past_x = -lost.bounds[1]
    points = shapely.get_coordinates(lost)
    past_other = (points[:, 1] * math.cos(angle) - points[:, 0] * math.sin(angle)).max()
    spared, taken = (past_other, past_x) if style == "wall" else (past_x, past_other)
    assert spared < 1e-3
    # The cutter's centre lies on the other wall's line, r from the corner's own: r (1 + cos φ).
    assert taken == pytest.approx(3.0 * (1.0 + math.cos(angle)), abs=1e-3)


@pytest.mark.parametrize("degrees", [20, 50, 75, 90, 120, 150])
@pytest.mark.parametrize("style", ["corner", "wall"])
def test_cutter_gets_into_the_relief_without_leaving_the_void(degrees, style):
    part = relieve_corners(wedge(math.radians(degrees)), 6.0, [(0.0, 0.0)], style=style)
    frame = shapely.box(-30, -15, 58, 15)
    void = shapely.difference(frame, part.polygon(1e-4))
    # All places the cutter's centre can be hang together, right down to the corner's own.
    centers = void.buffer(-3.0 + 1e-3, quad_segs=200)
    assert centers.geom_type == "Polygon"
    assert centers.distance(shapely.Point(0.0, 0.0)) == pytest.approx(3.0, abs=2e-3)


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
