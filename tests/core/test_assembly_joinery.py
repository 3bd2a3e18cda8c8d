"""Lapping many parts at once: the globe cradle, and shapes shared by copies."""

import math
import sys
from pathlib import Path

import numpy as np
import pytest

from geometry.assembly import Part, around_axis, lie_across_axis, stand_on_axis
from geometry.assembly.check import Fixture, check_assembly
from geometry.assembly.joints.joinery import Joint, join_parts, meeting_pairs
from geometry.outline import Arc, Line, rectangle, ring
from geometry.part import Stock

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))
import globe_cradle

PLY = Stock("plywood", 2.9, 0.18)
THREE = Stock("plywood", 3.0, 0.2)


def cradle():
    ribs = [
        Part(globe_cradle.rib(), PLY, pose, f"rib {i}")
        for i, pose in enumerate(around_axis(stand_on_axis(0.0), 6))
    ]
    rings = [
        Part(ring(228.0, 175.44), PLY, lie_across_axis(-50.0), "upper ring"),
        Part(ring(112.0, 42.6), PLY, lie_across_axis(-120.0), "lower ring"),
    ]
    return [*ribs, *rings], [0] * 6 + [1, 2]


def laps(parts):
    return [Joint(i, j) for i, j in meeting_pairs(parts)]


def ball(radius=100.0, around=48, up=24):
    turns = np.linspace(0.0, 2.0 * np.pi, around, endpoint=False)
    heights = np.linspace(0.0, np.pi, up + 1)[1:-1]
    rows = [
        np.column_stack(
            (
                radius * math.sin(h) * np.cos(turns),
                radius * math.sin(h) * np.sin(turns),
                np.full(around, radius * math.cos(h)),
            )
        )
        for h in heights
    ]
    vertices = np.vstack((*rows, [[0, 0, radius], [0, 0, -radius]]))
    top, bottom = len(vertices) - 2, len(vertices) - 1
    triangles = []
    for i in range(around):
        j = (i + 1) % around
        triangles += [(top, i, j), (bottom, (up - 2) * around + j, (up - 2) * around + i)]
        for k in range(up - 2):
            a, b = k * around, (k + 1) * around
            triangles += [(a + i, b + i, b + j), (a + i, b + j, a + j)]
    return vertices, np.array(triangles)


def test_every_rib_meets_both_rings_and_nothing_else():
    parts, _ = cradle()
    assert set(meeting_pairs(parts)) == {(i, r) for i in range(6) for r in (6, 7)}


def test_copies_are_cut_once_and_rings_six_times():
    parts, groups = cradle()
    joinery = join_parts(parts, laps(parts), groups=groups)
    rib, upper, lower = joinery.profiles
    assert len(joinery.laps) == 12
    # Four straight edges; a slot adds three lines and splits the edge it opens through.
    assert rib.count(Line) == 4 + 2 * 3 + 1
    assert upper.count(Line) == lower.count(Line) == 18
    assert upper.count(Arc) == 7
    assert {round(lap.cross_lap.width_a_mm, 9) for lap in joinery.laps} == {2.9}


def test_built_cradle_does_not_overlap_and_goes_together():
    parts, groups = cradle()
    joinery = join_parts(parts, laps(parts), groups=groups)
    built = [
        Part(joinery.profiles[g], p.stock, p.pose, p.name)
        for g, p in zip(groups, parts, strict=True)
    ]
    check = check_assembly(built, [Fixture(*ball())])
    assert check.clashes == ()
    assert check.order.can_be_built
    assert check.is_clear
    unlapped = check_assembly(parts, [Fixture(*ball())])
    assert len(unlapped.clashes) == 12
    assert not unlapped.is_clear
    assert not unlapped.order.can_be_built


def test_joints_of_parts_that_do_not_meet_sleep():
    parts, _ = cradle()
    joinery = join_parts(parts, [Joint(6, 7), Joint(0, 6), Joint(6, 7, "tab")])
    assert joinery.unmatched == (0, 2)
    assert len(joinery.laps) == 1
    assert joinery.profiles[7] == parts[7].profile


def upright(width, height, y, name, turn=0.0):
    """A sheet on edge at the world's y, its lower edge at z = 1.5."""
    c, s = math.cos(turn), math.sin(turn)
    pose = np.array([[c, 0, s, 0], [s, 0, -c, y], [0, 1, 0, 0], [0, 0, 0, 1.0]])
    return Part(rectangle(width, height, (0.0, 1.5 + height / 2)), THREE, pose, name)


def test_a_box_of_tabs_and_laps_fits_together():
    base = Part(rectangle(120.0, 90.0), THREE, name="Base")
    front, back = upright(100.0, 40.0, -25.0, "Front"), upright(100.0, 40.0, 25.0, "Back")
    middle = upright(80.0, 40.0, 0.0, "Middle", turn=math.pi / 2)
    parts = [base, front, back, middle]
    joints = [Joint(i, 0, "tab") for i in (1, 2, 3)] + [Joint(1, 3), Joint(2, 3, clearance_mm=0.1)]
    joinery = join_parts(parts, joints)
    assert joinery.unmatched == ()
    built = [
        Part(profile, p.stock, p.pose, p.name)
        for profile, p in zip(joinery.profiles, parts, strict=True)
    ]
    vertices, triangles = ball(5.0)
    aside = np.add(vertices, (300.0, 0.0, 0.0))
    check = check_assembly(built, [Fixture(aside, triangles)])
    assert check.clashes == ()
    assert check.order.can_be_built
    assert [lap.cross_lap.width_a_mm for lap in joinery.laps] == pytest.approx([3.0, 3.1])


def test_other_cuts_reach_every_copy_of_a_shape():
    pose = around_axis(stand_on_axis(0.0), 2)
    pair = [Part(rectangle(80.0, 40.0, (80.0, 0.0)), THREE, p) for p in pose]
    joinery = join_parts(
        pair,
        [],
        groups=[0, 0],
        other_cuts={
            0: [rectangle(10.0, 10.0, (80.0, 0.0))],
            1: [rectangle(5.0, 5.0, (100.0, 0.0))],
        },
    )
    assert [p.area_mm2 for p in joinery.profiles] == pytest.approx([80 * 40 - 100 - 25])
