"""Series planned from doubts or typed, cut as whole parts, and what the stock learns from them."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import PartError
from geometry.outline import Arc, Loop, Profile, rectangle, ring, subtract, union
from geometry.part import (
    Allowances,
    find_feature,
    fit_series,
    fit_series_of,
    learned_allowance,
    propose_series,
    ring_series,
    series_between,
)
from geometry.units import parse_length

SLOTTED_RING = subtract(ring(228.0, 175.4), rectangle(20.0, 3.0, (110.0, 0.0)))


def radii(profile):
    return sorted(s.radius_mm for s in profile.segments() if isinstance(s, Arc))


def ink(piece):
    return shapely.MultiLineString(
        [[line.start for line in stroke] + [stroke[-1].end] for stroke in piece.marks]
    )


def test_doubts_add_as_root_of_squares_and_the_series_covers_them():
    # 0.3² + 0.4² = 0.5²; steps of the laser's 0.05 would be 21 pieces, so they are doubled.
    plan = propose_series(120.0, "laser", bench_mm=0.3, kerf_mm=0.4)
    assert plan.doubt_mm == pytest.approx(0.5)
    assert (plan.step_mm, plan.count) == (pytest.approx(0.1), 11)
    assert plan.sizes_mm[0] == pytest.approx(119.5)
    assert plan.sizes_mm[-1] == pytest.approx(120.5)


def test_small_doubt_still_gives_a_series_of_three():
    plan = propose_series(3.0, "router", caliper_mm=0.02)
    assert (plan.step_mm, plan.count) == (pytest.approx(0.1), 3)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 2.0), st.floats(0.0, 0.2), st.sampled_from(["laser", "router", "knife"]))
def test_proposals_cover_the_doubt_and_are_never_refused(bench, kerf, process):
    plan = propose_series(50.0, process, bench_mm=bench, kerf_mm=kerf)
    assert plan.sizes_mm[-1] - 50.0 >= math.hypot(bench, kerf) - 1e-9
    assert 3 <= plan.count <= 11
    assert len(fit_series(50.0, plan.step_mm, plan.count, process=process)) == plan.count


def test_range_typed_in_thousandths_steps_from_end_to_end():
    plan = series_between(*(parse_length(text) for text in ("110 thou", "126 thou", "2 thou")))
    assert plan.count == 9
    assert plan.sizes_mm[0] == pytest.approx(0.110 * 25.4)
    assert plan.sizes_mm[-1] == pytest.approx(0.126 * 25.4)
    pieces = fit_series(plan.nominal_mm, plan.step_mm, plan.count, unit="thou")
    assert [p.label for p in pieces][:2] == ["110", "112"]


def test_plans_of_nonsense_are_refused():
    with pytest.raises(PartError, match="nothing certain"):
        propose_series(0.3, "laser", bench_mm=0.5)
    with pytest.raises(PartError, match="bench's doubt"):
        propose_series(30.0, "laser", bench_mm=-0.5)
    with pytest.raises(PartError, match="Swap"):
        series_between(3.0, 2.0, 0.1)
    with pytest.raises(PartError, match="step must be"):
        series_between(2.0, 3.0, 0.0)
    with pytest.raises(PartError, match="from 1 to"):
        series_between(2.0, 30.0, 0.05)
    with pytest.raises(PartError, match="larger than any sheet"):
        series_between(2.0, 30000.0, 0.05)


def test_rings_loosen_in_bore_and_outside_together():
    pieces = ring_series(60.0, 90.0, 0.1, 3)
    assert [p.label for p in pieces] == ["59.9/90.1", "60.0/90.0", "60.1/89.9"]
    for piece in pieces:
        assert radii(piece.profile) == pytest.approx([s / 2.0 for s in piece.sizes_mm])
        assert piece.profile.polygon(1e-3).buffer(-0.7).covers(ink(piece))
    with pytest.raises(PartError, match="no room for its label"):
        ring_series(60.0, 64.0, 0.1, 3)
    with pytest.raises(PartError, match="no rim left"):
        ring_series(60.0, 60.2, 0.1, 5)


@pytest.mark.parametrize(("feature", "share"), [("ring bore", 0.6), ("ring outside", 0.4)])
def test_gauges_need_less_stock_and_feel_the_whole_diameter(feature, share):
    (full,) = fit_series(120.0, 0.1, 1, feature=feature)
    (gauge,) = fit_series(120.0, 0.1, 1, feature=feature, gauge=True)
    areas = [p.profile.polygon().envelope.area for p in (gauge, full)]
    assert areas[0] < share * areas[1]
    assert 60.0 in [pytest.approx(r) for r in radii(gauge.profile)]
    edge = gauge.profile.polygon(1e-4).boundary
    for x in (-60.0, 60.0):
        assert edge.distance(shapely.Point(x, 0.0)) < 1e-3
    assert gauge.profile.polygon(1e-3).buffer(-0.5).covers(ink(gauge))


def test_whole_part_steps_in_bore_and_outside_and_keeps_its_slot():
    bore, outside = (find_feature(SLOTTED_RING, f) for f in ("ring bore", "ring outside"))
    assert (bore.size_mm, outside.size_mm) == (pytest.approx(175.4), pytest.approx(228.0))
    pieces = fit_series_of(SLOTTED_RING, [bore, outside], 0.1, 3)
    assert [p.label for p in pieces] == ["175.3/228.1", "175.4/228.0", "175.5/227.9"]
    for piece, by in zip(pieces, (-0.1, 0.0, 0.1), strict=True):
        assert radii(piece.profile) == pytest.approx([87.7 + by / 2, 114.0 - by / 2])
        assert find_feature(piece.profile, "slot").size_mm == pytest.approx(3.0)
        assert piece.profile.polygon(1e-3).buffer(-0.7).covers(ink(piece))


def test_whole_part_steps_in_the_slot_that_is_pointed_at():
    part = subtract(rectangle(80.0, 40.0), rectangle(3.0, 20.0, (-20.0, 20.0)))
    part = subtract(part, rectangle(6.0, 20.0, (20.0, 20.0)))
    found = find_feature(part, "slot", (22.0, 15.0))
    assert found.size_mm == pytest.approx(6.0)
    assert find_feature(part, "slot").size_mm == pytest.approx(3.0)
    for piece in fit_series_of(part, [found], 0.1, 3, process="router"):
        assert find_feature(piece.profile, "slot", (22.0, 15.0)).size_mm == pytest.approx(
            piece.size_mm
        )
        # Only the slot changes, by its width times its depth of 10 mm.
        lost = part.area_mm2 - piece.profile.area_mm2
        assert lost == pytest.approx((piece.size_mm - 6.0) * 10.0, abs=1e-9)


def test_tab_is_found_between_its_walls():
    part = union(rectangle(60.0, 20.0), rectangle(8.0, 20.0, (0.0, 15.0)))
    found = find_feature(part, "tab", (0.0, 24.0))
    assert found.size_mm == pytest.approx(8.0)
    (piece,) = fit_series_of(part, [found], 0.1, 1, nominal_mm=8.2)
    assert find_feature(piece.profile, "tab", (0.0, 24.0)).size_mm == pytest.approx(8.2)


def test_parts_without_the_feature_or_the_room_are_refused():
    with pytest.raises(PartError, match="no ring bore"):
        find_feature(rectangle(20.0, 10.0), "ring bore")
    with pytest.raises(PartError, match="no slot"):
        find_feature(rectangle(20.0, 10.0), "slot")
    bore = find_feature(ring(30.0, 20.0), "ring bore")
    with pytest.raises(PartError, match=r"no room for its label"):
        fit_series_of(ring(30.0, 26.0), [find_feature(ring(30.0, 26.0), "ring bore")], 0.1, 3)
    with pytest.raises(PartError, match="run into each other"):
        fit_series_of(ring(30.0, 20.0), [bore], 0.1, 1, nominal_mm=31.0)
    with pytest.raises(PartError, match="one feature or two"):
        fit_series_of(ring(30.0, 20.0), [], 0.1, 3)


@pytest.mark.parametrize(
    ("feature", "fitted", "mating", "learned"),
    [("slot", 2.75, 2.7, 0.05), ("tab", 2.75, 2.7, -0.05), ("ring outside", 89.9, 90.0, 0.1)],
)
def test_piece_that_fitted_teaches_its_fit_alone(feature, fitted, mating, learned):
    before = Allowances(0.0, 0.1, 0.3)
    after = learned_allowance(before, "press", feature, fitted, mating)
    assert after.press_mm == pytest.approx(learned, abs=1e-12)
    assert (after.sliding_mm, after.loose_mm) == (0.1, 0.3)
    assert learned_allowance(before, "loose", feature, fitted, mating).of("loose") == after.press_mm


def test_fits_of_different_things_are_refused():
    with pytest.raises(PartError, match=r"cannot have fitted.*apart"):
        learned_allowance(Allowances(), "press", "slot", 120.0, 3.0)
    with pytest.raises(PartError, match="A fit is"):
        learned_allowance(Allowances(), "snug", "slot", 3.0, 3.0)
    with pytest.raises(PartError, match="no fit of a"):
        learned_allowance(Allowances(), "press", "thread", 3.0, 3.0)


def test_plain_line_part_loop_is_not_mistaken_for_a_circle():
    with pytest.raises(PartError, match="at least a sixth round"):
        find_feature(Profile(Loop.through([(0, 0), (9, 0), (0, 9)])), "hole")
