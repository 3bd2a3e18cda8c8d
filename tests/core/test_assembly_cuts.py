"""Cutting slots into parts."""

import math

import numpy as np
import pytest

from geometry.assembly import Part, apply_cuts, cross_lap, lie_across_axis, stand_on_axis
from geometry.errors import AssemblyError
from geometry.outline import Arc, Loop, Profile
from geometry.part import Stock

PLY = Stock("ply", 3.0, 0.1)


def board(x0, y0, x1, y1):
    return Profile(Loop.through([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))


def test_slot_leaves_the_ring_s_arcs_and_takes_the_area_of_a_slot_under_an_arc():
    loops = Loop.circle((0, 0), 50.0), Loop.circle((0, 0), 15.0)
    part = Part(Profile(loops[0], (loops[1],)), PLY, lie_across_axis(0.0), "ring")
    lap = cross_lap(part, Part(board(20, -30, 60, 30), PLY, stand_on_axis(0.0)))
    cut = apply_cuts(part, [lap.cut_a])
    assert cut.profile.count(Arc) >= 2
    assert {round(s.radius_mm, 6) for s in cut.profile.segments() if isinstance(s, Arc)} == {50, 15}
    # From x = 35 to the circle of radius 50 over |y| < 1.5: ∫ (√(50² - y²) - 35) dy.
    under = 50.0**2 * math.asin(1.5 / 50) + 1.5 * math.sqrt(50.0**2 - 1.5**2) - 35.0 * 3.0
    assert part.profile.area_mm2 - cut.profile.area_mm2 == pytest.approx(under, abs=1e-4)
    assert (cut.stock, cut.name) == (part.stock, "ring")
    assert cut.pose is part.pose


def test_cut_that_severs_a_part_is_refused_with_its_place():
    part = Part(board(0, 0, 60, 10), PLY, np.eye(4), "strip")
    with pytest.raises(AssemblyError, match=r"\(30\.0, 5\.0\) mm would sever “strip”"):
        apply_cuts(part, [board(28, -5, 32, 15)])


def test_no_cuts_change_nothing():
    part = Part(board(0, 0, 60, 10), PLY, np.eye(4))
    assert apply_cuts(part, []).profile == part.profile
