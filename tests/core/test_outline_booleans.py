"""Booleans keep true segments; areas agree with shapely on fine polygons."""

import math

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry.errors import OutlineError
from geometry.outline import Arc, Cubic, Line, Loop, Profile
from geometry.outline.curves.booleans import combine, intersect, subtract, union
from geometry.outline.curves.shapes import circle, rectangle, ring, slot

PLATE = rectangle(100.0, 60.0, (50.0, 30.0))


def test_hole_in_a_plate_is_exactly_one_arc():
    part = subtract(PLATE, circle(20.0, (50.0, 30.0)))
    assert part.count(Arc) == 1
    assert part.count(Line) == 4
    assert part.area_mm2 == pytest.approx(6000.0 - 100.0 * math.pi, abs=1e-9)


def test_bite_from_an_edge_is_exactly_one_arc():
    part = subtract(PLATE, circle(20.0, (100.0, 30.0)))
    assert part.count(Arc) == 1
    assert part.area_mm2 == pytest.approx(6000.0 - 50.0 * math.pi, abs=1e-9)


def test_corners_are_exact_crossings():
    part = subtract(PLATE, circle(20.0, (103.0, 30.0)))
    half = math.sqrt(100.0 - 9.0)
    ends = sorted(s.start[1] for s in part.segments() if abs(s.start[0] - 100.0) < 1e-9)
    assert ends[1] == pytest.approx(30.0 - half, abs=1e-10)


def test_lens_of_two_discs_has_the_textbook_area():
    # Two circles of radius r, centres d apart: 2 r² acos(d / 2r) - d/2 √(4r² - d²); elementary.
    lens = intersect(circle(20.0), circle(20.0, (12.0, 0.0)))
    area = 2 * 100 * math.acos(0.6) - 6 * math.sqrt(400 - 144)
    assert lens.area_mm2 == pytest.approx(area, abs=1e-9)
    assert lens.count(Arc) == 2


def test_tangent_shapes_join_without_losing_arcs():
    part = union(slot(60.0, 10.0), rectangle(20.0, 10.0))
    assert part.count(Arc) == 2
    assert part.area_mm2 == pytest.approx(500.0 + 25.0 * math.pi, abs=1e-6)


def test_six_slots_in_a_ring_leave_its_arcs_on_their_circles():
    part = ring(228.0, 175.4)
    cut = Profile(Loop.through([(102, -1.45), (130, -1.45), (130, 1.45), (102, 1.45)]))
    for i in range(6):
        part = subtract(part, cut.rotated(i * math.pi / 3))
    arcs = [s for s in part.segments() if isinstance(s, Arc)]
    assert len(arcs) == 7
    assert {round(a.radius_mm, 9) for a in arcs} == {114.0, 87.7}
    assert part.count(Line) == 18


def test_cubic_edges_stay_cubic():
    leaf = Profile(
        Loop((Cubic((0, 0), (20, 30), (60, 30), (80, 0)), Line((80.0, 0.0), (0.0, 0.0))))
    )
    pieces = combine("subtract", leaf, rectangle(20.0, 100.0, (60.0, 0.0)))
    assert [p.count(Cubic) for p in pieces] == [1, 1]
    exact = shapely.difference(leaf.polygon(1e-4), shapely.box(50.0, -50.0, 70.0, 50.0))
    assert sum(p.area_mm2 for p in pieces) == pytest.approx(exact.area, abs=0.01)
    (x, y) = max(pieces[0].outer.nodes().tolist())
    assert (x, y) == (pytest.approx(50.0, abs=1e-9), pytest.approx(0.0, abs=30.0))


def test_shared_edge_vanishes_in_a_union():
    part = union(rectangle(10, 10, (5, 5)), rectangle(10, 10, (15, 5)))
    assert part.count(Line) == 4
    assert part.area_mm2 == pytest.approx(200.0)


def test_outlines_join_though_only_the_last_bridges_them():
    bar = union(circle(8.0, (-10.0, 0.0)), circle(8.0, (10.0, 0.0)), rectangle(14.0, 2.0))
    assert bar.count(Arc) == 2
    with pytest.raises(OutlineError, match="2 separate pieces"):
        union(circle(8.0, (-10.0, 0.0)), circle(8.0, (10.0, 0.0)))


def test_cut_in_two_is_refused_and_says_where():
    with pytest.raises(OutlineError, match="2 separate pieces"):
        subtract(PLATE, rectangle(5.0, 100.0, (50.0, 30.0)))
    assert len(combine("subtract", PLATE, rectangle(5.0, 100.0, (50.0, 30.0)))) == 2


def test_nothing_in_common_is_refused():
    with pytest.raises(OutlineError, match="empty"):
        intersect(PLATE, circle(5.0, (500.0, 0.0)))


@settings(max_examples=60, deadline=None)
@given(st.floats(2.0, 60.0), st.floats(-20.0, 120.0), st.floats(-20.0, 80.0), st.floats(-3.0, 3.0))
def test_inclusion_and_exclusion(diameter, x, y, turn):
    a, b = PLATE, slot(diameter + 15.0, diameter, (x, y), turn)
    common = combine("intersect", a, b)
    assume(sum(p.area_mm2 for p in common) > 1.0)
    joined = combine("union", a, b)
    rest = combine("subtract", a, b)
    total = sum(p.area_mm2 for p in joined)
    inside = sum(p.area_mm2 for p in common)
    assert total == pytest.approx(a.area_mm2 + b.area_mm2 - inside, abs=2e-3)
    assert sum(p.area_mm2 for p in rest) == pytest.approx(a.area_mm2 - inside, abs=2e-3)
    fine = shapely.union(a.polygon(1e-4), b.polygon(1e-4))
    shape = shapely.union_all([p.polygon(1e-4) for p in joined])
    assert shape.symmetric_difference(fine).area < 0.01


def test_many_cuts_at_once_are_the_cuts_one_by_one():
    plate = rectangle(100.0, 40.0)
    cuts = [circle(6.0, (x, 0.0)) for x in (-30.0, 0.0, 30.0)] + [
        rectangle(10.0, 10.0, (0.0, 20.0))
    ]
    one_by_one = plate
    for cut in cuts:
        one_by_one = subtract(one_by_one, cut)
    together = subtract(plate, *cuts)
    assert together.area_mm2 == pytest.approx(one_by_one.area_mm2, abs=1e-9)
    assert together.count(Arc) == one_by_one.count(Arc) == 3
