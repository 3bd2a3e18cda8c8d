"""Tab and slot: what fits, at which angle, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.assembly import Part, interference
from geometry.assembly.joints.tabslot import TabRule, tab_slot
from geometry.errors import AssemblyError, PartsDoNotMeetError
from geometry.outline import rectangle, subtract, union
from geometry.part import Stock

PLY = Stock("Plywood", 3.0, 0.2)
BASE = Part(rectangle(120.0, 80.0), PLY, name="Base")


def tilted(degrees, y=0.0):
    """A pose turned about the world's x: at 90° the part's own y points up."""
    turn = math.radians(degrees)
    pose = np.eye(4)
    pose[1:3, 1:3] = [
        [math.cos(turn), -math.sin(turn)],
        [math.sin(turn), math.cos(turn)],
    ]
    pose[1, 3] = y
    return pose


def shadow(degrees, mine, other):
    """How wide a tilted sheet's shadow is in the other's plane."""
    turn = math.radians(degrees)
    return other / math.sin(turn) + mine * abs(math.cos(turn)) / math.sin(turn)


def wall(degrees=90.0, *, width=100.0, sunk=0.0, stock=PLY, y=0.0, base=BASE):
    """A sheet that ends at the base's upper face, or as deep in it as ``sunk``."""
    face = 0.5 * shadow(degrees, stock.thickness_mm, base.stock.thickness_mm)
    shape = rectangle(width, 40.0 + sunk, (0.0, face + 20.0 - 0.5 * sunk))
    return Part(shape, stock, tilted(degrees, y), "Wall")


def joined(a, b, found):
    """Both parts as they are cut."""
    shape_a, shape_b = a.profile, b.profile
    for cut in found.shoulders:
        shape_a = subtract(shape_a, cut)
    for tab in found.tabs:
        shape_a = union(shape_a, tab)
    for cut in found.slots:
        shape_b = subtract(shape_b, cut)
    return Part(shape_a, a.stock, a.pose, a.name), Part(shape_b, b.stock, b.pose, b.name)


def test_a_square_meeting_gets_tabs_as_long_as_the_sheet_is_thick():
    found = tab_slot(wall(), BASE)
    # 100 mm less 3 mm at each end hold five 9 mm tabs with gaps of at least 9 mm.
    assert len(found.tabs) == len(found.slots) == 5
    assert (found.tab_width_mm, found.tab_depth_mm, found.slot_width_mm) == pytest.approx(
        (9.0, 3.0, 3.0), abs=1e-9
    )
    assert not found.opens
    a, b = joined(wall(), BASE, found)
    assert a.profile.bounds_mm[1] == pytest.approx(-1.5, abs=1e-9)
    assert a.profile.area_mm2 - wall().profile.area_mm2 == pytest.approx(5 * 9 * 3, abs=1e-6)
    assert BASE.profile.area_mm2 - b.profile.area_mm2 == pytest.approx(5 * 9 * 3, abs=1e-6)
    assert len(b.profile.holes) == 5
    assert interference(a, b).is_clear
    (x0, y0, z0), (x1, y1, z1) = found.line
    assert sorted((x0, x1)) == pytest.approx([-50.0, 50.0])
    assert (y0, z0, y1, z1) == pytest.approx((0.0, 0.0, 0.0, 0.0), abs=1e-9)


@given(
    st.floats(35.0, 145.0), st.floats(2.0, 7.0), st.floats(2.0, 7.0), st.sampled_from([0.0, 1.5])
)
def test_joined_parts_never_occupy_the_same_space(degrees, mine, other, sunk):
    base = Part(rectangle(160.0, 120.0), Stock("Base", other, 0.2), name="Base")
    a = wall(degrees, stock=Stock("Wall", mine, 0.2), sunk=sunk, base=base)
    found = tab_slot(a, base)
    cut_a, cut_b = joined(a, base, found)
    assert interference(cut_a, cut_b).volume_mm3 < 1e-6
    # No corner of a tab stands out of the far face, and one lies in it.
    tip = cut_a.profile.bounds_mm[1]
    turn = math.radians(degrees)
    corners = [tip * math.sin(turn) + z * math.cos(turn) for z in (-mine / 2, mine / 2)]
    assert min(corners) == pytest.approx(-other / 2, abs=1e-6)


def test_an_edge_drawn_into_the_face_ends_at_it_between_tabs():
    sunk = wall(sunk=2.0)
    found = tab_slot(sunk, BASE)
    a, _ = joined(sunk, BASE, found)
    square, _ = joined(wall(), BASE, tab_slot(wall(), BASE))
    assert len(found.shoulders) == 1
    assert a.profile.area_mm2 == pytest.approx(square.profile.area_mm2, abs=1e-4)


def test_an_edge_a_little_short_is_lengthened_to_the_face():
    # Drawn for 3 mm; the sheet it stands on turned out 2.7 mm thick.
    base = Part(BASE.profile, Stock("Thin", 2.7, 0.2), name="Base")
    found = tab_slot(wall(), base)
    a, b = joined(wall(), base, found)
    assert found.lengthened_mm == pytest.approx(0.15, abs=1e-9)
    assert a.profile.area_mm2 - wall().profile.area_mm2 == pytest.approx(
        100 * 0.15 + 5 * 9 * 2.7, abs=1e-3
    )
    assert interference(a, b).is_clear


def test_slots_at_a_corner_are_open_and_the_corner_is_flush():
    # The base's edge lies flush with the wall's outer face.
    corner = wall(y=80.0 / 2 - 1.5)
    found = tab_slot(corner, BASE)
    assert found.opens
    a, b = joined(corner, BASE, found)
    assert not b.profile.holes
    assert interference(a, b).is_clear
    assert BASE.profile.area_mm2 - b.profile.area_mm2 == pytest.approx(
        len(found.slots) * 9 * 3, abs=1e-6
    )


def test_a_margin_narrower_than_the_web_opens_the_slot():
    near = wall(y=40.0 - 1.5 - 2.0)
    assert tab_slot(near, BASE).opens
    assert not tab_slot(near, BASE, rule=TabRule(web_mm=1.0)).opens


def test_number_width_and_margins_are_kept():
    found = tab_slot(wall(), BASE, rule=TabRule(count=3, width_mm=12.0, margin_mm=10.0))
    spans = sorted((t.bounds_mm[0], t.bounds_mm[2]) for t in found.tabs)
    assert np.ravel(spans) == pytest.approx([-40.0, -28.0, -6.0, 6.0, 28.0, 40.0], abs=1e-9)


def test_clearance_widens_slots_both_ways_and_standing_out_lengthens_tabs():
    found = tab_slot(wall(), BASE, 0.2, rule=TabRule(count=1, standing_out_mm=1.0))
    x0, y0, x1, y1 = found.slots[0].bounds_mm
    assert (x1 - x0, y1 - y0) == pytest.approx((9.2, 3.2), abs=1e-9)
    assert found.tabs[0].bounds_mm[1] == pytest.approx(-2.5, abs=1e-9)


@pytest.mark.parametrize(
    ("a", "said"),
    [
        (Part(rectangle(100.0, 40.0, (0.0, 25.0)), PLY, tilted(90), "Wall"), "3.50 mm short"),
        (Part(rectangle(100.0, 40.0), PLY, tilted(90), "Wall"), "both sides"),
        (Part(rectangle(100.0, 2.0), PLY, tilted(90), "Wall"), "no body"),
        (Part(rectangle(100.0, 40.0), PLY, np.eye(4), "Wall"), "parallel"),
        (wall(y=200.0), "not on its material"),
    ],
)
def test_parts_that_do_not_meet_so_are_refused(a, said):
    with pytest.raises(PartsDoNotMeetError, match=said):
        tab_slot(a, BASE)


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        (TabRule(width_mm=200.0), "too short for a tab"),
        (TabRule(count=20, width_mm=9.0), "too short for a tab"),
        (TabRule(margin_mm=60.0), "too short for a tab"),
        (TabRule(width_mm=-1.0), "below 0"),
        (TabRule(margin_mm=math.nan), "finite"),
        (TabRule(standing_out_mm=-3.0), "no tab"),
    ],
)
def test_numbers_that_leave_no_tab_are_refused(rule, said):
    with pytest.raises(AssemblyError, match=said):
        tab_slot(wall(), BASE, rule=rule)
