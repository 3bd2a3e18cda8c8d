"""Parts made of several sheets: where they lie, dowels through them, what is refused."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from geometry.assembly import LayerRule, Part, interference, layered_parts, turn_about_axis
from geometry.assembly.layers import dowel_places
from geometry.errors import AssemblyError
from geometry.outline import circle, rectangle, ring
from geometry.part import Stock

SIX = Stock("plywood", 6.0, 0.2)


def test_a_ring_of_three_sheets_fills_eighteen_millimetres_about_its_plane():
    pose = turn_about_axis((3.0, 4.0, 5.0), (1.0, 0.5, 0.2), 0.7)
    layers = layered_parts(Part(ring(120.0, 80.0), SIX, pose, "Ring"), LayerRule(3))
    assert [part.name for part in layers] == ["Ring A", "Ring B", "Ring C"]
    levels = [float((part.pose[:3, 3] - pose[:3, 3]) @ pose[:3, 2]) for part in layers]
    assert levels == pytest.approx([-6.0, 0.0, 6.0])
    assert np.allclose(layers[1].pose, pose)
    assert interference(layers[0], layers[1]).is_clear


def test_dowels_go_through_all_sheets_as_far_apart_as_there_is_room():
    layers = layered_parts(Part(ring(120.0, 80.0), SIX), LayerRule(2, 5.0))
    first, second = layers[0].profile, layers[1].profile
    assert first == second
    bore, *holes = sorted(first.holes, key=lambda hole: hole.signed_area_mm2)
    assert bore.is_circle
    centres = [hole.segments[0].center for hole in holes]
    assert [hole.segments[0].radius_mm for hole in holes] == pytest.approx([2.5, 2.5])
    # Across the ring from each other, one diameter of material to its outer edge.
    assert math.dist(*centres) == pytest.approx(2.0 * (60.0 - 7.5), abs=0.2)


@given(st.floats(30.0, 200.0), st.floats(30.0, 200.0), st.floats(2.0, 6.0), st.integers(2, 4))
def test_dowels_keep_their_web_everywhere(width, height, diameter, count):
    profile = rectangle(width, height)
    places = dowel_places(profile, diameter, count)
    assert len(places) == count
    edge = profile.polygon().boundary
    for place in places:
        assert edge.distance(shapely.Point(place)) >= 1.5 * diameter - 1e-6
    for i, p in enumerate(places):
        assert all(math.dist(p, q) >= 2.0 * diameter for q in places[:i])


def test_what_has_no_room_is_refused():
    with pytest.raises(AssemblyError, match=r"No place in the outline keeps 5\.0 mm"):
        dowel_places(ring(40.0, 30.0), 5.0, 2)
    with pytest.raises(AssemblyError, match="3 dowels of 5 mm would lie"):
        dowel_places(circle(16.0), 5.0, 3)
    with pytest.raises(AssemblyError, match="2 to 26 layers, not 1"):
        layered_parts(Part(circle(50.0), SIX), LayerRule(1))
    with pytest.raises(AssemblyError, match="diameter of 0 mm or more"):
        layered_parts(Part(circle(50.0), SIX), LayerRule(2, math.nan))
