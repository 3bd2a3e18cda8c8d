"""Boxes in one act: their sizes outside and inside, tops and lids, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.assembly import (
    BoxRule,
    FingerRule,
    box_boards,
    finger_joint,
    join_parts,
    twins_of,
)
from geometry.assembly.check import check_assembly
from geometry.errors import AssemblyError, PartsDoNotMeetError
from geometry.part import Stock

FOUR = Stock("plywood", 4.0, 0.2)


def built(rule, clearance=0.0, stock=FOUR):
    parts, joints = box_boards(rule, stock, clearance)
    joinery = join_parts(parts, joints)
    assert joinery.unmatched == ()
    return [replace(p, profile=q) for p, q in zip(parts, joinery.profiles, strict=True)], joinery


def bounds(parts):
    corners = []
    for part in parts:
        x0, y0, x1, y1 = part.profile.bounds_mm
        h = 0.5 * part.stock.thickness_mm
        own = np.array([(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (-h, h)])
        corners.append(own @ part.pose[:3, :3].T + part.pose[:3, 3])
    low, high = np.concatenate(corners).min(axis=0), np.concatenate(corners).max(axis=0)
    return tuple(low), tuple(high)


@pytest.mark.parametrize(
    ("top", "count", "edges"), [("closed", 6, 12), ("open", 5, 8), ("lid", 7, 8)]
)
def test_boards_and_edges_of_every_top(top, count, edges):
    parts, joinery = built(BoxRule(120.0, 80.0, 60.0, top=top))
    assert len(parts) == count
    assert len(joinery.connections) == edges
    low, high = bounds(parts)
    assert low == pytest.approx((-60.0, -40.0, 0.0))
    assert high == pytest.approx((60.0, 40.0, 60.0))
    check = check_assembly(parts, [])
    assert check.is_clear
    assert check.order.can_be_built


@pytest.mark.parametrize("top", ["closed", "open", "lid"])
def test_inside_sizes_are_those_of_the_hollow(top):
    parts, _ = built(BoxRule(100.0, 70.0, 50.0, "inside", top))
    low, high = bounds(parts)
    lid = 8.0 if top != "open" else 4.0
    assert np.subtract(high, low) == pytest.approx((108.0, 78.0, 50.0 + lid))


def test_a_box_stands_where_its_foot_is():
    parts, _ = built(BoxRule(120.0, 80.0, 60.0, foot_mm=(10.0, -20.0, 5.0)))
    low, high = bounds(parts)
    assert low == pytest.approx((-50.0, -60.0, 5.0))
    assert high == pytest.approx((70.0, 20.0, 65.0))


def test_a_lid_lies_on_the_walls_and_its_rim_reaches_inside_with_play():
    parts, _ = built(BoxRule(120.0, 80.0, 60.0, top="lid", play_mm=0.6))
    lid, rim = parts[-2:]
    assert (lid.name, rim.name) == ("Lid", "Rim")
    assert (lid.pose[2, 3], rim.pose[2, 3]) == pytest.approx((58.0, 54.0))
    x0, y0, x1, y1 = rim.profile.bounds_mm
    assert (x1 - x0, y1 - y0) == pytest.approx((120.0 - 8.0 - 0.6, 80.0 - 8.0 - 0.6))
    assert len(rim.profile.holes) == 1
    walls = parts[:5]
    # The lid comes off upwards, and nothing else has to move.
    order = check_assembly([*walls, lid], []).order
    assert order.can_be_built


def test_opposite_boards_are_one_shape():
    parts, joints = box_boards(BoxRule(120.0, 80.0, 60.0, top="lid"), FOUR)
    # Left, right, front, back, bottom; and the lid, as large as the bottom, with no joint.
    assert twins_of(parts, joints) == [0, 0, 2, 2, 4, 5, 6]
    parts, _ = built(BoxRule(120.0, 80.0, 60.0))
    for one, other in zip(parts[::2], parts[1::2], strict=True):
        difference = one.profile.polygon().symmetric_difference(other.profile.polygon())
        assert difference.area < 1e-6


def test_a_box_without_a_hollow_is_refused():
    with pytest.raises(AssemblyError, match=r"8\.0 × 40\.0 × 40\.0 mm outside has no hollow"):
        box_boards(BoxRule(8.0, 40.0, 40.0), FOUR)
    with pytest.raises(AssemblyError, match="no hollow"):
        box_boards(BoxRule(float("nan"), 40.0, 40.0), FOUR)
    with pytest.raises(AssemblyError, match="rim of the lid"):
        box_boards(BoxRule(14.0, 40.0, 40.0, top="lid", play_mm=3.0), FOUR)


# Fingers ----------------------------------------------------------------------------------------


def edge(count=0, width=0.0, clearance=0.0):
    parts, _ = box_boards(BoxRule(120.0, 80.0, 60.0), FOUR)
    return finger_joint(parts[0], parts[2], clearance, rule=FingerRule(count, width))


def test_fingers_are_three_thicknesses_wide_or_as_told():
    assert (edge().count, edge().width_mm) == (5, pytest.approx(12.0))
    assert (edge(width=7.0).count, edge(width=7.0).width_mm) == (9, pytest.approx(60.0 / 9))
    assert edge(count=4).count == 4
    over = edge(count=1)
    assert (over.count, len(over.cuts_b) - 1, over.fingers_b) == (1, 1, ())
    assert over.gap_mm == pytest.approx(0.0, abs=1e-9)


def test_what_makes_no_finger_joint_is_refused():
    parts, _ = box_boards(BoxRule(120.0, 80.0, 60.0), FOUR)
    with pytest.raises(PartsDoNotMeetError, match="are parallel"):
        finger_joint(parts[0], parts[1])
    apart = parts[2].pose.copy()
    apart[1, 3] -= 30.0
    with pytest.raises(PartsDoNotMeetError, match="short of"):
        finger_joint(parts[0], replace(parts[2], pose=apart))
    with pytest.raises(AssemblyError, match="cannot be below 0"):
        edge(count=-1)
    with pytest.raises(AssemblyError, match="no wider than their clearance"):
        edge(count=200, clearance=0.4)


def test_clearance_widens_every_gap_by_as_much():
    parts, joints = box_boards(BoxRule(120.0, 80.0, 60.0, top="open"), FOUR, 0.2)
    made = join_parts(parts, joints)
    loose = sum(shape.area_mm2 for shape in made.profiles)
    tight = sum(q.area_mm2 for q in built(BoxRule(120.0, 80.0, 60.0, top="open"))[1].profiles)
    assert loose < tight
    assert not check_assembly(
        [replace(p, profile=q) for p, q in zip(parts, made.profiles, strict=True)], []
    ).clashes


@pytest.mark.parametrize("clearance", [-0.05, 0.0, 0.1])
@pytest.mark.parametrize("top", ["closed", "open", "lid"])
def test_nothing_is_dropped_from_a_box(top, clearance):
    parts, joints = box_boards(BoxRule(120.0, 80.0, 60.0, top=top), FOUR, clearance)
    assert not any(join_parts(parts, joints).crumbs)
