"""Hand-cut shapes become exactly symmetric, with the hand's error in figures."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from geometry.errors import SymmetryError
from geometry.outline import (
    Arc,
    Axis,
    Line,
    Loop,
    Profile,
    circle,
    rectangle,
    subtract,
    symmetrise,
)

DEMO = Path(__file__).parents[2] / "scripts" / "demo"


def ends(profile):
    """Every segment by its ends, middle and length, the ends in either order."""
    rows = [
        (*min(s.start, s.end), *max(s.start, s.end), *s.point_at(0.5), s.length_mm)
        for s in profile.segments()
    ]
    return np.array(rows)


def assert_maps_onto_itself(profile, copy, limit=1e-9):
    one, two = ends(profile)[:, 4:], ends(copy)[:, 4:]
    gaps = np.abs(one[:, None] - two[None]).max(axis=2)
    assert gaps.min(axis=1).max() < limit
    assert gaps.min(axis=0).max() < limit


def wobbly(shape, amplitude, seed=5):
    """A shape as a hand cuts it: its dense outline pushed about by a slow random wave."""
    rng = np.random.default_rng(seed)
    rings = []
    for ring in (shape.exterior, *shape.interiors):
        places = np.arange(0.0, ring.length, 0.3)
        points = shapely.get_coordinates(ring.interpolate(places))
        phase = 2.0 * math.pi * places / ring.length
        move = sum(
            rng.normal(0.0, 1.0, (2, 1)) * np.cos(k * phase + rng.uniform(0, 6)) for k in (2, 3, 5)
        )
        rings.append(points + amplitude * move.T / 2.0)
    return Profile.from_polygon(Polygon(rings[0], rings[1:]), 0.05)


SHIELD = Polygon([(-30, 0), (30, 0), (24, 30), (0, 48), (-24, 30)]) - Point(0, 20).buffer(
    8.0, quad_segs=64
)


def test_a_wobbly_shield_becomes_its_own_mirror_image():
    drawn = wobbly(SHIELD, 0.15).rotated(0.7).moved(5, 9)
    result = symmetrise(drawn)
    image = result.profile.mirrored(result.about.point, result.about.angle_rad)
    assert_maps_onto_itself(result.profile, image)
    assert result.profile.holes[0].is_circle
    turn = (result.about.angle_rad - (0.7 + math.pi / 2.0)) % math.pi
    assert min(turn, math.pi - turn) < 0.01
    assert result.deviation_mm.max_mm < 0.6
    assert 0.0 < result.deviation_mm.rms_mm < result.deviation_mm.max_mm
    assert len(result.profile.outer.segments) <= 14


def test_nodes_near_the_axis_lie_on_it():
    drawn = wobbly(SHIELD, 0.1)
    result = symmetrise(drawn, about=Axis((0.0, 0.0), math.pi / 2.0))
    x = np.abs(result.profile.outer.nodes()[:, 0])
    assert (x < 0.05).sum() == 1  # the tip; the base is one line across
    assert x.min() < 1e-12


@pytest.mark.parametrize("kind", ["mirror", "rotational"])
def test_applied_twice_nothing_moves(kind):
    once = symmetrise(wobbly(box(-30, -18, 30, 18), 0.12), kind)
    twice = symmetrise(once.profile, kind)
    assert twice.deviation_mm.max_mm < 1e-6
    assert_maps_onto_itself(once.profile, twice.profile, 1e-6)


@settings(max_examples=6, deadline=None)
@given(st.floats(0.0, 3.1), st.floats(-50.0, 50.0), st.integers(0, 50))
@example(2.0, 0.0, 21)  # a base that bows by little more than the tolerance
def test_symmetry_moves_with_the_shape(angle, shift, seed):
    drawn = wobbly(SHIELD, 0.1, seed)
    here = symmetrise(drawn)
    there = symmetrise(drawn.rotated(angle).moved(shift, -shift))
    turn = (there.about.angle_rad - here.about.angle_rad - angle) % math.pi
    assert min(turn, math.pi - turn) < 1e-3
    assert there.deviation_mm.max_mm == pytest.approx(here.deviation_mm.max_mm, abs=0.05)
    assert there.profile.area_mm2 == pytest.approx(here.profile.area_mm2, rel=1e-3)


@pytest.mark.parametrize("order", [2, 3, 5])
def test_a_flower_is_exactly_turned_onto_itself(order):
    angles = np.arange(900) * 2.0 * math.pi / 900
    rng = np.random.default_rng(order)
    radii = 40.0 + 6.0 * np.cos(order * angles) + 2.0 * np.sin(2 * order * angles)
    radii += 0.1 * np.cos(angles + rng.uniform(0, 6)) + 0.1 * np.cos(7 * angles)
    ring = np.column_stack((radii * np.cos(angles), radii * np.sin(angles)))
    drawn = Profile.from_polygon(Polygon(ring), 0.03)
    result = symmetrise(drawn, "rotational", order)
    copy = result.profile.rotated(2.0 * math.pi / order, result.about)
    assert_maps_onto_itself(result.profile, copy)
    assert result.about == pytest.approx((0.0, 0.0), abs=0.2)
    assert result.deviation_mm.max_mm < 0.5


def assert_dihedral(result):
    turned = result.profile.rotated(2.0 * math.pi / result.order, result.about.point)
    assert_maps_onto_itself(result.profile, turned)
    image = result.profile.mirrored(result.about.point, result.about.angle_rad)
    assert_maps_onto_itself(result.profile, image)


@pytest.mark.parametrize(
    ("order", "keep"), [(2, "average"), (3, "average"), (3, "first"), (3, "second"), (6, "average")]
)
def test_a_flower_turns_and_mirrors_exactly(order, keep):
    angles = np.arange(900) * 2.0 * math.pi / 900
    radii = 40.0 + 6.0 * np.cos(order * angles) + 2.0 * np.cos(2 * order * angles)
    radii += 0.1 * np.cos(angles + 1.0) + 0.1 * np.sin(order * angles + 0.3)
    ring = np.column_stack((radii * np.cos(angles + 0.2), radii * np.sin(angles + 0.2)))
    drawn = Profile.from_polygon(Polygon(ring), 0.03)
    result = symmetrise(drawn, "dihedral", order, keep=keep)
    assert_dihedral(result)
    # An axis at 0.2 rad was drawn, and others at every half turn over the order.
    aside = math.remainder(result.about.angle_rad - 0.2, math.pi / order)
    assert abs(aside) < 0.02
    assert result.deviation_mm.max_mm < 0.4
    again = symmetrise(result.profile, "dihedral", order)
    assert again.deviation_mm.max_mm < 1e-9


@pytest.mark.parametrize("offset", [0.0, math.pi / 4.0])
def test_a_star_plate_keeps_lines_and_round_holes(offset):
    angles = np.arange(4) * math.pi / 2.0
    plate = Polygon(30.0 * np.column_stack((np.cos(angles), np.sin(angles))))
    for angle in angles + offset:
        plate = plate - Point(14.0 * math.cos(angle), 14.0 * math.sin(angle)).buffer(2.5, 32)
    result = symmetrise(wobbly(plate, 0.1), "dihedral", 4)
    assert_dihedral(result)
    assert len(result.profile.holes) == 4
    assert all(hole.is_circle for hole in result.profile.holes)
    assert all(isinstance(s, Line) for s in result.profile.outer.segments)


def test_holes_off_the_axes_come_in_eights_and_slots_on_them_in_fours():
    plate = rectangle(100.0, 100.0)
    for quarter in range(4):
        turn = quarter * math.pi / 2.0
        for side in (1.0, -1.0):
            spot = circle(5.0, (30.0, 12.0 * side)).rotated(turn)
            plate = subtract(plate, spot.moved(0.02 * side, 0.01 * quarter))
        plate = subtract(plate, rectangle(10.0, 4.0, (20.0, 0.02 * quarter)).rotated(turn))
    result = symmetrise(plate, "dihedral", 4)
    assert_dihedral(result)
    assert sum(hole.is_circle for hole in result.profile.holes) == 8
    slots = [hole for hole in result.profile.holes if not hole.is_circle]
    assert [len(slot.segments) for slot in slots] == [4, 4, 4, 4]


def test_a_pinwheel_is_told_what_it_is_instead_of_a_star():
    arm = [(3.0, -3.0), (30.0, -3.0), (30.0, 15.0), (24.0, 15.0), (24.0, 3.0), (3.0, 3.0)]
    blades = [
        Polygon([(x * c - y * s, x * s + y * c) for x, y in arm])
        for c, s in ((1, 0), (0, 1), (-1, 0), (0, -1))
    ]
    pinwheel = Profile.from_polygon(shapely.union_all([*blades, box(-3, -3, 3, 3)]), 0.01)
    with pytest.raises(SymmetryError, match=r"rotational symmetry of order [24]"):
        symmetrise(pinwheel, "dihedral", 4)


def test_what_has_no_symmetry_at_all_is_told_so():
    hook = Profile(Loop.through([(0, 0), (60, 0), (60, 8), (10, 8), (10, 35), (0, 35)]))
    with pytest.raises(SymmetryError, match="not symmetric at all"):
        symmetrise(hook)


def test_holes_come_in_pairs_and_stay_circles():
    plate = subtract(rectangle(80.0, 40.0), circle(8.0, (-25.0, 3.0)))
    plate = subtract(plate, circle(8.6, (25.2, 3.1)))
    result = symmetrise(plate, about=Axis((0.0, 0.0), math.pi / 2.0))
    one, two = sorted(result.profile.holes, key=lambda h: h.segments[0].center[0])
    assert one.is_circle
    assert two.is_circle
    assert two.segments[0].center == pytest.approx((25.1, 3.05), abs=1e-6)
    assert one.segments[0].center == pytest.approx((-25.1, 3.05), abs=1e-6)
    assert one.segments[0].radius_mm == pytest.approx(4.15, abs=1e-9)


def test_a_hole_without_a_partner_is_named():
    plate = subtract(rectangle(80.0, 40.0), circle(8.0, (-25.0, 3.0)))
    with pytest.raises(SymmetryError, match="no partner"):
        symmetrise(plate, about=Axis((0.0, 0.0), math.pi / 2.0))


@pytest.mark.parametrize(("keep", "width"), [("first", 21.0), ("second", 19.0), ("average", 20.0)])
def test_either_half_can_be_kept(keep, width):
    drawn = Profile(Loop.through([(-21, -10), (19, -10), (19, 10), (-21, 10)]))
    result = symmetrise(drawn, about=Axis((0.0, 0.0), math.pi / 2.0), keep=keep)
    assert result.profile.bounds_mm == pytest.approx((-width, -10, width, 10), abs=1e-6)
    assert all(isinstance(s, Line) for s in result.profile.segments())
    assert len(result.profile.outer.segments) == 4


def test_a_lopsided_shape_is_refused_with_its_figure():
    hook = Profile(Loop.through([(0, 0), (60, 0), (60, 8), (10, 8), (10, 50), (0, 50)]))
    with pytest.raises(SymmetryError, match=r"only \d+ %"):
        symmetrise(hook, about=Axis((30.0, 25.0), 0.0))


@pytest.mark.parametrize(
    ("kind", "order", "about", "word"),
    [
        ("spiral", 2, None, "mirror"),
        ("rotational", 1, None, "whole number"),
        ("dihedral", 0, None, "whole number"),
        ("mirror", 2, (0.0, 0.0), "axis"),
    ],
)
def test_requests_that_make_no_sense_are_refused(kind, order, about, word):
    with pytest.raises(SymmetryError, match=word):
        symmetrise(rectangle(10.0, 6.0), kind, order, about)


def test_the_demo_rib_comes_out_symmetric_with_few_nodes():
    truth = json.loads((DEMO / "truth.json").read_text())
    cut = Polygon(truth["hand_cut_outer_mm"], [truth["hand_cut_hole_mm"]])
    result = symmetrise(Profile.from_polygon(cut, 0.1))
    image = result.profile.mirrored(result.about.point, result.about.angle_rad)
    assert_maps_onto_itself(result.profile, image, 1e-8)
    assert len(result.profile.outer.segments) <= 16
    assert result.profile.holes[0].is_circle
    assert result.deviation_mm.max_mm < truth["hand_error_max_mm"]
    assert result.deviation_mm.rms_mm < truth["hand_error_rms_mm"]


def test_an_outline_that_crosses_itself_is_told_where():
    bow = Profile(Loop.through([(0, 0), (10, 0), (10, 10), (4, -2), (0, 10)]))
    with pytest.raises(SymmetryError, match=r"crosses or touches itself at \("):
        symmetrise(bow)


@pytest.mark.parametrize("seed", range(6))
def test_a_scoop_across_the_axis_stays_one_arc(seed):
    cradle = box(-60.0, 0.0, 60.0, 50.0) - Point(0.0, 80.0).buffer(55.0, quad_segs=256)
    result = symmetrise(wobbly(cradle, 0.04, seed))
    segments = result.profile.outer.segments
    along = np.array([math.cos(result.about.angle_rad), math.sin(result.about.angle_rad)])
    (scoop,) = (s for s in segments if isinstance(s, Arc) and abs(s.sweep_rad) > 0.5)
    aside = np.subtract(scoop.center, result.about.point) @ np.array([-along[1], along[0]])
    assert abs(aside) < 1e-9
    assert scoop.radius_mm == pytest.approx(55.0, abs=0.6)
