"""Lines and arcs that follow the rim of a polygon."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly.joints.following import followed
from geometry.outline import Arc, Line

FIT_MM = 0.01


def wheel(radius, around, start=0.0, turn=2.0 * math.pi):
    turns = start + np.linspace(0.0, turn, around, endpoint=turn < 2.0 * math.pi)
    return radius * np.column_stack((np.cos(turns), np.sin(turns)))


def farthest(profile, polygon):
    return profile.polygon(1e-4).boundary.hausdorff_distance(polygon.boundary)


def test_a_box_stays_its_four_lines():
    profile = followed(shapely.box(0.0, 0.0, 40.0, 20.0), FIT_MM)
    assert profile.count(Line) == len(list(profile.segments())) == 4
    assert profile.area_mm2 == pytest.approx(800.0, abs=1e-9)


def test_a_round_of_chords_becomes_one_circle_and_a_hole_another():
    ring = shapely.Polygon(wheel(30.0, 256), [wheel(12.0, 128)])
    profile = followed(ring, FIT_MM)
    assert profile.outer.is_circle
    assert profile.holes[0].is_circle
    assert farthest(profile, ring) < FIT_MM


def test_widened_corners_become_one_arc_each():
    polygon = shapely.box(0.0, 0.0, 40.0, 20.0).buffer(5.0, quad_segs=64)
    profile = followed(polygon, FIT_MM)
    arcs = [s for s in profile.segments() if isinstance(s, Arc)]
    assert len(arcs) == 4
    assert [arc.radius_mm for arc in arcs] == pytest.approx([5.0] * 4, abs=0.02)


def test_a_half_disc_is_an_arc_and_a_line():
    polygon = shapely.Polygon(wheel(25.0, 200, turn=math.pi))
    profile = followed(polygon, FIT_MM)
    assert len(list(profile.segments())) <= 3
    assert farthest(profile, polygon) < FIT_MM


@settings(max_examples=40, deadline=None)
@given(
    st.integers(3, 60),
    st.integers(0, 10_000),
    st.floats(0.0, 3.0),
    st.sampled_from([0.002, 0.01, 0.05]),
)
def test_it_stays_as_near_as_asked_whatever_the_rim(corners, seed, widened, tolerance):
    rng = np.random.default_rng(seed)
    turns = np.sort(rng.uniform(0.0, 2.0 * math.pi, corners))
    radius = rng.uniform(20.0, 40.0, corners)
    star = shapely.Polygon(radius[:, None] * np.column_stack((np.cos(turns), np.sin(turns))))
    rim = star.buffer(0.0).buffer(widened)
    for polygon in shapely.get_parts(rim):
        if polygon.area > 1.0:
            profile = followed(polygon, tolerance)
            assert farthest(profile, polygon) < 1.05 * tolerance
            assert profile.polygon(1e-3).is_valid
