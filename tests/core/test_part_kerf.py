"""The path to cut gives back the part when the tool's width is taken off."""

import math
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry.errors import PartError
from geometry.outline import (
    Arc,
    Cubic,
    Line,
    Loop,
    Profile,
    circle,
    rectangle,
    regular_polygon,
    ring,
    slot,
    subtract,
    union,
)
from geometry.outline.curves.offset import offset
from geometry.part.kerf import compensate_kerf, compensate_kerf_all, kerf_losses

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))
import globe_cradle


def cut_out(path, kerf_mm):
    """What remains of the sheet inside the path once the tool has run along it."""
    return path.polygon(1e-4).buffer(-kerf_mm / 2.0, join_style="mitre")


def test_outside_grows_and_holes_shrink_by_half_the_kerf():
    path = compensate_kerf(ring(100.0, 60.0), 0.2)
    (outer,) = path.outer.segments
    (inner,) = path.holes[0].segments
    assert outer.radius_mm == pytest.approx(50.1, abs=1e-12)
    assert inner.radius_mm == pytest.approx(29.9, abs=1e-12)


def test_no_kerf_changes_nothing():
    part = slot(30.0, 10.0)
    assert compensate_kerf(part, 0.0) is part


def test_rib_keeps_its_kinds_of_segments():
    rib = globe_cradle.rib()
    path = compensate_kerf(rib, 0.18)
    assert [type(s) for s in path.outer.segments].count(Arc) == 2
    assert path.count(Line) == rib.count(Line)
    radii = sorted(round(s.radius_mm, 9) for s in path.segments() if isinstance(s, Arc))
    assert radii == [12.91, 60.09, 102.91] or radii == [12.91, 60.09, 103.0 - 0.09]
    assert cut_out(path, 0.18).symmetric_difference(rib.polygon(1e-4)).area < 0.05


def test_concave_corner_is_the_exact_crossing():
    corner = Profile(Loop.through([(0, 0), (50, 0), (50, 20), (20, 20), (20, 50), (0, 50)]))
    path = compensate_kerf(corner, 1.0)
    assert np.min(np.hypot(*(path.outer.nodes() - (20.5, 20.5)).T)) < 1e-9


def test_slot_in_a_ring_gets_narrower_by_the_kerf():
    cut = Profile(Loop.through([(40, -1.45), (60, -1.45), (60, 1.45), (40, 1.45)]))
    part = subtract(ring(100.0, 60.0), cut)
    path = compensate_kerf(part, 0.2)
    walls = sorted(
        s.start[1]
        for s in path.outer.segments
        if isinstance(s, Line) and abs(s.tangent_at(0)[1]) < 1e-9
    )
    assert walls == [pytest.approx(-1.35), pytest.approx(1.35)]
    bottom = min(s.start[0] for s in path.outer.segments if isinstance(s, Line))
    assert bottom == pytest.approx(40.1)


def test_vanishing_hole_is_named_with_place_and_size():
    part = subtract(rectangle(40.0, 40.0), circle(0.15, (5.0, -3.0)))
    (loss,) = kerf_losses(part, 0.2)
    assert loss.what == "hole"
    assert loss.size_mm == pytest.approx(0.15, abs=0.02)
    with pytest.raises(PartError, match=r"\(5\.0, -3\.0\)"):
        compensate_kerf(part, 0.2)
    assert compensate_kerf(part, 0.2, allow_loss=True).holes == ()


def test_notch_narrower_than_the_kerf_is_refused_too():
    part = subtract(rectangle(60.0, 40.0), rectangle(0.15, 20.0, (0.0, 20.0)))
    (loss,) = kerf_losses(part, 0.2)
    assert (loss.what, loss.size_mm) == ("notch", pytest.approx(0.15, abs=0.01))
    with pytest.raises(PartError, match=r"notch 0\.15 mm wide at \(0\.0, 15\.0\)"):
        compensate_kerf(part, 0.2)
    assert compensate_kerf(part, 0.2, allow_loss=True).bounds_mm[2] == pytest.approx(30.1)
    assert kerf_losses(part, 0.14) == ()


def test_pointed_notch_and_round_parts_lose_nothing():
    notched = [(0, 0), (60, 0), (60, 40), (32, 40), (30, 10), (28, 40), (0, 40)]
    for part in (Profile(Loop.through(notched)), ring(228.0, 175.4), globe_cradle.rib()):
        for kerf in (0.05, 0.2, 1.0):
            assert kerf_losses(part, kerf) == ()


def test_neck_of_a_hole_narrower_than_the_kerf_is_named_with_place_and_size():
    bar = union(circle(8.0, (-10.0, 0.0)), circle(8.0, (10.0, 0.0)), rectangle(14.0, 0.15))
    part = subtract(rectangle(60.0, 40.0), bar)
    (loss,) = kerf_losses(part, 0.2)
    assert (loss.what, loss.size_mm) == ("neck", pytest.approx(0.15, abs=0.01))
    assert abs(loss.where[0]) < 7.0
    assert abs(loss.where[1]) < 0.1
    with pytest.raises(PartError, match=r"neck 0\.15 mm wide.*fall in two"):
        compensate_kerf(part, 0.2)
    assert kerf_losses(part, 0.14) == ()


def test_mouth_of_a_keyhole_narrower_than_the_kerf_is_a_neck():
    part = subtract(rectangle(60.0, 40.0), circle(8.0, (0.0, 10.0)))
    part = subtract(part, rectangle(0.15, 10.0, (0.0, 17.0)))
    (loss,) = kerf_losses(part, 0.2)
    assert loss.what == "neck"
    assert loss.size_mm == pytest.approx(0.15, abs=0.01)


def test_web_between_holes_thinner_than_the_kerf_keeps_its_width():
    # Both paths move away from the web, so it is there in full: a matter for readiness, no loss.
    part = subtract(rectangle(60.0, 40.0), rectangle(9.0, 9.0, (-4.55, 0.0)))
    part = subtract(part, rectangle(9.0, 9.0, (4.55, 0.0)))
    assert kerf_losses(part, 0.2) == ()
    web = compensate_kerf(part, 0.2)
    walls = sorted(x for hole in web.holes for x, _ in hole.nodes() if abs(x) < 1.0)
    assert walls == [pytest.approx(x) for x in (-0.15, -0.15, 0.15, 0.15)]


def test_many_parts_at_once_are_what_they_are_one_by_one():
    parts = [globe_cradle.rib(), ring(100.0, 60.0), rectangle(9.0, 4.0), slot(30.0, 9.0)]
    parts.append(Profile(Loop((Cubic((0, 0), (20, 30), (60, 30), (80, 0)), Line((80, 0), (0, 0))))))
    assert compensate_kerf_all(parts, 0.2) == tuple(compensate_kerf(p, 0.2) for p in parts)
    assert compensate_kerf_all(parts, 0.0) == tuple(parts)
    bad = subtract(rectangle(40.0, 40.0), circle(0.15, (5.0, -3.0)))
    with pytest.raises(PartError, match=r"hole 0\.1. mm wide at \(5\.0"):
        compensate_kerf_all([*parts, bad], 0.2)


def test_corner_too_sharp_for_a_mitre_is_cut_off_outside_the_kerf():
    needle = Profile(Loop.through([(0.0, 0.0), (60.0, -3.0), (60.0, 3.0)]))
    path = compensate_kerf(needle, 0.2)
    # Cut off square at four times half the kerf, which is far enough to leave the tip.
    assert path.bounds_mm[0] == pytest.approx(-0.4, abs=1e-9)
    assert path.count(Line) == 4
    assert path.outer.length_mm < offset(needle, 0.2)[0].outer.length_mm


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0.5, 1.0), st.floats(0.25, 1.0), st.sampled_from([0.0, 0.2, -0.2])),
        min_size=4,
        max_size=12,
    ),
    st.floats(0.05, 0.4),
)
def test_path_stays_half_a_kerf_from_any_part_of_lines_and_arcs(corners, kerf):
    angles = np.cumsum([gap for _, gap, _ in corners])
    angles *= 2.0 * math.pi / angles[-1]
    places = [
        (50.0 * r * math.cos(a), 50.0 * r * math.sin(a))
        for (r, _, _), a in zip(corners, angles, strict=True)
    ]
    sides = zip(places, places[1:] + places[:1], corners, strict=True)
    part = Profile(
        Loop(
            tuple(
                Arc.from_bulge(a, b, bend) if bend else Line(a, b) for a, b, (_, _, bend) in sides
            )
        )
    )
    shape = part.polygon(1e-4)
    assume(shape.is_valid)
    path = compensate_kerf(part, kerf, allow_loss=True)
    assert Loop(path.outer.segments) == path.outer
    walk = shapely.get_coordinates(shapely.segmentize(path.polygon(1e-4).exterior, 0.5))
    away = shapely.distance(shapely.points(walk), shape)
    assert away.min() == pytest.approx(kerf / 2.0, abs=2e-3)
    assert away.max() < 4.0 * kerf / 2.0 * math.sqrt(2.0)


@pytest.mark.parametrize("kerf", [math.nan, math.inf, 300.0])
def test_absurd_kerfs_are_refused(kerf):
    with pytest.raises(PartError, match="kerf"):
        compensate_kerf(rectangle(90.0, 90.0), kerf)


def test_hole_just_wider_than_the_kerf_stays():
    part = subtract(rectangle(40.0, 40.0), circle(0.21, (5.0, -3.0)))
    assert kerf_losses(part, 0.2) == ()
    assert len(compensate_kerf(part, 0.2).holes) == 1


def test_short_edge_beside_a_bite_in_a_disc_keeps_the_arc_on_its_circle():
    rim = Arc((0.0, 0.0), 16.0, 0.0, 2.0 * math.pi - 0.02)
    (x, y), angle = rim.end, 0.3
    tip = (x + 0.12 * math.cos(angle), y + 0.12 * math.sin(angle))
    path = compensate_kerf(Profile(Loop((rim, Line(rim.end, tip), Line(tip, rim.start)))), 0.2)
    (arc,) = (s for s in path.segments() if isinstance(s, Arc))
    assert arc.center == (pytest.approx(0.0, abs=1e-12), pytest.approx(0.0, abs=1e-12))
    assert arc.radius_mm == pytest.approx(16.1, abs=1e-12)


def test_negative_kerf_is_refused():
    with pytest.raises(PartError, match="0 mm or more"):
        compensate_kerf(rectangle(1.0, 1.0), -0.1)


def test_cubic_edges_come_back_within_a_micrometre():
    leaf = Profile(
        Loop((Cubic((0, 0), (20, 30), (60, 30), (80, 0)), Line((80.0, 0.0), (0.0, 0.0))))
    )
    path = compensate_kerf(leaf, 0.2)
    assert cut_out(path, 0.2).symmetric_difference(leaf.polygon(1e-4)).area < 0.15


@settings(max_examples=40, deadline=None)
@given(st.integers(3, 12), st.floats(5.0, 80.0), st.floats(0.05, 2.0), st.floats(0.0, 1.0))
def test_polygon_keeps_its_sides_and_comes_back(sides, diameter, kerf, turn):
    part = regular_polygon(sides, diameter, (3.0, -4.0), turn)
    path = compensate_kerf(part, kerf)
    assert path.count(Line) == sides
    grown = part.area_mm2 + kerf / 2 * part.outer.length_mm
    grown += sides * (kerf / 2) ** 2 * math.tan(math.pi / sides)
    assert path.area_mm2 == pytest.approx(grown, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(10.0, 50.0), st.floats(2.0, 9.0), st.floats(-0.8, 0.8), st.floats(0.0, 3.0))
def test_out_and_in_again_is_the_same_part(length, width, distance, turn):
    part = slot(length, width, (7.0, 1.0), turn)
    (there,) = offset(part, distance)
    (back,) = offset(there, -distance)
    assert back.count(Arc) == 2
    assert shapely.hausdorff_distance(back.polygon(1e-3), part.polygon(1e-3)) < 2e-3
    assert back.area_mm2 == pytest.approx(part.area_mm2, rel=1e-8)
