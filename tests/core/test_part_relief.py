"""Relief: which corners, which styles, and what is refused."""

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry.errors import PartError
from geometry.outline import Arc, Cubic, Line, Loop, Profile, circle, rectangle, ring, subtract
from geometry.part.corners import smallest_inside_radius
from geometry.part.kerf import compensate_kerf
from geometry.part.relief import STYLES, corners_of, relieve_corners
from geometry.part.stock import Stock
from geometry.sheet.pieces import cut_piece

POCKET = subtract(rectangle(120.0, 90.0), rectangle(60.0, 40.0))


def test_outside_corners_and_circles_are_left_alone():
    for part in (rectangle(20.0, 10.0), circle(8.0), ring(30.0, 10.0)):
        assert relieve_corners(part, 6.0) is part


def test_relieved_pocket_has_one_arc_a_corner_and_its_four_walls():
    hole = relieve_corners(POCKET, 6.0).holes[0]
    arcs = [s for s in hole.segments if isinstance(s, Arc)]
    assert [round(a.radius_mm, 9) for a in arcs] == [3.0] * 4
    assert sum(isinstance(s, Line) for s in hole.segments) == 4
    for arc in arcs:
        assert abs(arc.center[0]) == pytest.approx(30.0 - 3.0 / math.sqrt(2.0), abs=1e-9)


def test_only_the_named_corner_is_opened():
    relieved = relieve_corners(POCKET, 6.0, [(30.0, 20.0)])
    (arc,) = (s for s in relieved.segments() if isinstance(s, Arc))
    assert arc.center[0] > 0.0 < arc.center[1]


def test_a_place_without_an_inside_corner_is_refused():
    with pytest.raises(PartError, match=r"no inside corner at \(60\.00, 45\.00\)"):
        relieve_corners(POCKET, 6.0, [(60.0, 45.0)])


def test_slot_as_wide_as_the_cutter_passes_and_a_narrower_one_is_refused():
    slotted = subtract(rectangle(60.0, 40.0), rectangle(6.0, 30.0, (0.0, 15.0)))
    assert relieve_corners(slotted, 6.0).count(Arc) >= 1
    with pytest.raises(PartError, match=r"too narrow for a 6\.01 mm cutter"):
        relieve_corners(slotted, 6.01)


def test_corners_the_cutter_all_but_fills_are_left_alone():
    # r (1 / sin(φ / 2) - 1) for r = 3: 0.017 mm at 168°, 0.042 mm at 161°.
    for degrees, opened in ((168.0, 0), (161.0, 1)):
        half = math.radians(degrees) / 2.0
        corners = [(-30.0, -40.0), (60.0, -40.0), (60.0, 60.0 / math.tan(half)), (0.0, 0.0)]
        corners.append((-30.0, 30.0 / math.tan(half)))
        part = Profile(Loop.through(corners))
        assert relieve_corners(part, 6.0).count(Arc) == opened
        assert relieve_corners(part, 6.0, [(0.0, 0.0)]).count(Arc) == 1


def test_reliefs_that_meet_at_the_end_of_a_slot_become_one():
    # Arcs meet where w < 2 r √2 = 8.485 mm.
    for width, arcs in ((8.0, 2), (9.0, 2)):
        slotted = subtract(rectangle(60.0, 40.0), rectangle(width, 30.0, (0.0, 15.0)))
        relieved = relieve_corners(slotted, 6.0)
        assert relieved.count(Arc) == arcs
        end_wall = [
            s
            for s in relieved.outer.segments
            if isinstance(s, Line) and abs(s.start[1]) < 1e-6 and abs(s.end[1]) < 1e-6
        ]
        assert len(end_wall) == (0 if width == 8.0 else 1)


def test_relief_that_would_break_into_another_opening_is_refused_with_its_place():
    near = subtract(POCKET, circle(4.0, (28.0, 22.5)))
    with pytest.raises(PartError, match=r"at \(30\.0, 20\.0\) mm would break into"):
        relieve_corners(near, 6.0)
    far = subtract(POCKET, circle(4.0, (28.0, 26.0)))
    assert len(relieve_corners(far, 6.0).holes) == 2


def test_corners_of_a_slot_are_told_from_the_parts_own():
    angle_piece = Profile(Loop.through([(0, 0), (80, 0), (80, 40), (40, 40), (40, 80), (0, 80)]))
    slot_cut = rectangle(8.0, 20.0, (60.0, 40.0))
    part = subtract(angle_piece, slot_cut)
    found = sorted(corners_of(part, [slot_cut]))
    assert found == [(pytest.approx(56.0), pytest.approx(30.0)), (pytest.approx(64.0),
                                                                  pytest.approx(30.0))]  # fmt: skip
    relieved = relieve_corners(part, 6.0, found)
    assert (40.0, 40.0) in [s.start for s in relieved.outer.segments]
    assert corners_of(part, []) == ()


def test_smallest_inside_radius_is_the_tightest_bend_that_stays():
    pocket = subtract(rectangle(120.0, 90.0), rectangle(60.0, 40.0, (0.0, 0.0), 4.0))
    assert smallest_inside_radius(pocket).radius_mm == pytest.approx(4.0)
    assert smallest_inside_radius(POCKET).radius_mm == 0.0
    corners = [(x, y) for x in (-30.0, 30.0) for y in (-20.0, 20.0)]
    assert smallest_inside_radius(POCKET, besides=corners) is None
    assert smallest_inside_radius(relieve_corners(POCKET, 6.0)).radius_mm == pytest.approx(3.0)
    assert smallest_inside_radius(circle(8.0)) is None
    # A bay drawn as a quarter-circle-like cubic of 20 mm: its handles are 0.5523 of the radius.
    k = 0.5522847498
    bay = Cubic((20.0, 0.0), (20.0, -20.0 * k), (20.0 * k, -20.0), (0.0, -20.0))
    edge = [(0.0, -20.0), (-9.0, -20.0), (-9.0, -40.0), (40.0, -40.0), (40.0, 0.0), (20.0, 0.0)]
    lines = [Line(a, b) for a, b in itertools.pairwise(edge)]
    found = smallest_inside_radius(Profile(Loop((bay, *lines))), [(-9.0, -20.0)])
    assert found.radius_mm == pytest.approx(20.0, rel=0.02)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.floats(25.0, 60.0), st.floats(0.6, 1.0)), min_size=5, max_size=9),
    st.sampled_from(STYLES),
)
def test_opening_of_any_shape_is_reached_everywhere(corners, style):
    angles = np.cumsum([gap for _, gap in corners])
    angles *= 2.0 * math.pi / angles[-1]
    hole = [(r * math.cos(a), r * math.sin(a)) for (r, _), a in zip(corners, angles, strict=True)]
    part = Profile(rectangle(300.0, 300.0).outer, (Loop.through(hole),))
    assume(part.polygon().is_valid)
    try:
        relieved = relieve_corners(part, 4.0, style=style)
    except PartError:
        assume(False)
    void = shapely.Polygon(relieved.holes[0].flatten(1e-4))
    centers = void.buffer(-2.0 + 1e-3, quad_segs=40)
    assert centers.geom_type == "Polygon"
    # Corners that are all but flat are left: the cutter leaves up to 0.02 mm there.
    left = shapely.difference(void, centers.buffer(2.0 + 0.022, quad_segs=40))
    assert left.area < 1e-6
    assert void.buffer(3e-4).covers(shapely.Polygon(hole))


@pytest.mark.parametrize("diameter", [0.0, -1.0, math.nan])
def test_bad_diameters_are_refused(diameter):
    with pytest.raises(PartError, match="above 0 mm"):
        relieve_corners(POCKET, diameter)


def test_relief_a_little_wider_than_the_cutter_survives_its_path():
    path = compensate_kerf(relieve_corners(POCKET, 6.0, over=1.05), 6.0)
    radii = sorted(s.radius_mm for s in path.holes[0].segments if isinstance(s, Arc))
    # 3.15 mm less half of 6 mm; a half circle of that is longer than 0.1 mm.
    assert radii == [pytest.approx(0.15, abs=1e-9)] * 4
    assert min(s.length_mm for s in path.segments()) > 0.1


def test_slot_just_wider_than_the_cutter_is_cut_with_its_relief():
    slotted = subtract(rectangle(60.0, 40.0), rectangle(6.1, 30.0, (0.0, 15.0)))
    stock = Stock("ply", 6.0, 6.0, "router", 6.0)
    path = cut_piece(slotted, stock, 1, "foot", correct_kerf=True).profile
    walls = [s.start[0] for s in path.outer.segments if isinstance(s, Line)
             and abs(s.start[0] - s.end[0]) < 1e-9 and abs(s.start[0]) < 1.0]  # fmt: skip
    assert sorted(walls) == [pytest.approx(-0.05), pytest.approx(0.05)]
    with pytest.raises(PartError, match="from 1 to 2 times"):
        relieve_corners(slotted, 6.0, over=0.5)


def test_nominal_path_keeps_its_size_and_is_refused_where_correction_would_lose_something():
    laser = Stock("ply", 3.0, 0.2)
    part = rectangle(60.0, 40.0)
    assert cut_piece(part, laser, 1, "foot", correct_kerf=False).profile is part
    pinhole = subtract(part, circle(0.15))
    with pytest.raises(PartError, match="would vanish"):
        cut_piece(pinhole, laser, 1, "foot", correct_kerf=False)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.35, 2.8), st.floats(0.0, 6.2), st.floats(1.0, 8.0))
def test_overshoot_past_a_wall_at_any_angle(angle, turn, diameter):
    reach = 60.0
    tip = [(reach * math.cos(angle), reach * math.sin(angle)), (0.0, 0.0), (reach, 0.0)]
    middle = angle / 2 + math.pi
    back = [
        (reach * 3 * math.cos(middle + a), reach * 3 * math.sin(middle + a))
        for a in (-2.0, -1.0, 0.0, 1.0, 2.0)
        if abs(a) < math.pi - angle / 2 - 0.1
    ]
    part = Profile(Loop.through(tip + back[::-1])).rotated(turn)
    relieved = relieve_corners(part, diameter, [(0.0, 0.0)]).rotated(-turn)
    points = relieved.outer.flatten(1e-5)
    near = points[(points[:, 0] ** 2 + points[:, 1] ** 2) < (1.01 * diameter) ** 2]
    # Elementary: the cutter's centre is r sin(φ / 2) from either wall.
    wanted = -(diameter / 2) * (1.0 - math.sin(angle / 2))
    assert near[:, 1].min() == pytest.approx(wanted, abs=3e-5)


def test_a_cusp_between_walls_that_end_along_one_another_is_left_as_it_is():
    # Half a disc less the two half discs below it, which touch each other in its middle.
    arcs = (
        Arc((0.0, 0.0), 20.0, 0.0, math.pi),
        Arc((-10.0, 0.0), 10.0, math.pi, -math.pi),
        Arc((10.0, 0.0), 10.0, math.pi, -math.pi),
    )
    shape = Profile(Loop(arcs))
    assert relieve_corners(shape, 3.0) == shape
    with pytest.raises(PartError, match="no inside corner"):
        relieve_corners(shape, 3.0, corners=[(0.0, 0.0)])
