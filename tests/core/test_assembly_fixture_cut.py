"""Cutting a part to the fixture: gaps kept, arcs found, what cannot be cut refused."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import Part, apply_cuts, clearance, lie_across_axis, stand_on_axis
from geometry.assembly.joints.fixture_cut import fixture_cuts
from geometry.errors import AssemblyError
from geometry.outline import Arc, rectangle
from geometry.part import Stock

PLY = Stock("Plywood", 3.0, 0.2)


def post(radius=20.0, around=256, low=-50.0, high=50.0, taper=0.0):
    """A closed round post, its upper end wider by ``taper``."""
    turns = np.linspace(0.0, 2.0 * math.pi, around, endpoint=False)
    wheel = np.column_stack((np.cos(turns), np.sin(turns)))
    lower = np.column_stack((radius * wheel, np.full(around, low)))
    upper = np.column_stack(((radius + taper) * wheel, np.full(around, high)))
    vertices = np.vstack((lower, upper, [[0, 0, low], [0, 0, high]]))
    triangles = []
    for i in range(around):
        j = (i + 1) % around
        triangles += [(i, j, around + j), (i, around + j, around + i)]
        triangles += [(2 * around, j, i), (2 * around + 1, around + i, around + j)]
    return vertices, np.array(triangles)


def test_a_plate_around_a_post_gets_one_round_hole():
    plate = Part(rectangle(100.0, 80.0), PLY, lie_across_axis(0.0))
    (cut,) = fixture_cuts(plate, *post(), 0.5)
    assert cut.count(Arc) == len(list(cut.segments())) == 1
    built = apply_cuts(plate, [cut])
    assert len(built.profile.holes) == 1
    gap = clearance(built, *post()).gap_mm
    assert 0.5 <= gap <= 0.5 + 0.02 + 0.002


def test_a_plate_beside_a_post_gets_a_notch():
    plate = Part(rectangle(100.0, 80.0, (60.0, 0.0)), PLY, lie_across_axis(0.0))
    cuts = fixture_cuts(plate, *post(), 0.5)
    built = apply_cuts(plate, cuts)
    assert not built.profile.holes
    assert clearance(built, *post()).gap_mm >= 0.5


def test_a_plate_that_keeps_away_loses_nothing():
    plate = Part(rectangle(100.0, 80.0, (90.0, 0.0)), PLY, lie_across_axis(0.0))
    assert fixture_cuts(plate, *post(), 0.5) == ()


def test_a_sloped_post_is_cleared_through_the_whole_thickness():
    plate = Part(rectangle(100.0, 80.0), PLY, lie_across_axis(0.0))
    cone = post(20.0, taper=30.0)
    (cut,) = fixture_cuts(plate, *cone)
    # Half way up the radius is 35; 1.5 mm higher it is 1.5 × 30 / 100 more.
    x0, _, x1, _ = cut.bounds_mm
    assert (x1 - x0) / 2.0 == pytest.approx(35.45 + 0.01, abs=0.01)


@settings(max_examples=20, deadline=None)
@given(st.floats(-30.0, 30.0), st.floats(0.0, 3.0), st.booleans())
def test_what_is_left_always_clears(height, gap, upright):
    pose = stand_on_axis(0.3) if upright else lie_across_axis(height)
    plate = Part(rectangle(120.0, 90.0, (70.0 if upright else 0.0, 0.0)), PLY, pose)
    cone = post(15.0, 48, taper=10.0)
    built = apply_cuts(plate, fixture_cuts(plate, *cone, gap))
    assert clearance(built, *cone).gap_mm >= gap - 2e-3


def test_a_part_inside_the_fixture_is_refused():
    plate = Part(rectangle(10.0, 10.0), PLY, lie_across_axis(0.0), "Plug")
    with pytest.raises(AssemblyError, match="“Plug” lies wholly within the fixture"):
        fixture_cuts(plate, *post())


def test_a_clearance_that_is_no_length_is_refused():
    plate = Part(rectangle(10.0, 10.0), PLY, lie_across_axis(0.0))
    with pytest.raises(AssemblyError, match="finite"):
        fixture_cuts(plate, *post(), math.nan)
