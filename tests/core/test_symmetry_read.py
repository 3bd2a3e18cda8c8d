"""A traced shape made symmetric: both sides count as surely as they were read."""

import numpy as np
import pytest
import shapely
from shapely import Polygon

from geometry.outline import Axis, DoubtfulEdge, Profile, ReadEdge, symmetrise

RIB = Polygon(
    [
        (-70, 0),
        (70, 0),
        (70, 30),
        (40, 60),
        (8, 60),
        (8, 40),
        (-8, 40),
        (-8, 60),
        (-40, 60),
        (-70, 30),
    ]
)
"""A rib of 140 mm: exactly symmetric, as a straightedge cuts it."""
UPRIGHT = Axis.along((0.0, 0.0), np.pi / 2.0)


def read_of(profile, sigma_mm=0.03, doubts=(), spoilt=None, resolved_mm=0.75):
    """As a trace tells it: a place every two millimetres, all read alike but where ``spoilt``."""
    ring = shapely.LinearRing(profile.outer.flatten(0.01))
    at = np.arange(0.0, ring.length, 2.0)
    places = shapely.get_coordinates(shapely.line_interpolate_point(ring, at))
    sigma = np.full(len(places), sigma_mm)
    if spoilt is not None:
        sigma[spoilt(places)] = 20.0 * sigma_mm
    return ReadEdge(places, sigma, resolved_mm, tuple(doubts))


def seen(corners):
    return Profile.from_polygon(Polygon(corners), 0.001)


def with_corner_cut(shape, corner, by_mm):
    """A corner that the lens or a doubtful place took off, as a trace shows it."""
    x, y = corner
    cut = Polygon([(x, y), (x - np.sign(x) * by_mm, y), (x, y + by_mm)])
    return Profile.from_polygon(shape.difference(cut), 0.001)


def width_at_base(profile):
    low = profile.polygon(0.001)
    base = low.intersection(shapely.box(-100, -0.01, 100, 0.002))
    x0, _, x1, _ = base.bounds
    return x1 - x0


def test_an_exactly_symmetric_rib_keeps_its_base_and_nobody_is_blamed():
    drawn = with_corner_cut(RIB, (70, 0), 0.33)
    plain = symmetrise(drawn, about=UPRIGHT)
    assert width_at_base(plain.profile) < 139.9, "without it the facet comes on both sides"
    found = symmetrise(drawn, about=UPRIGHT, read=read_of(drawn, sigma_mm=0.08))
    assert width_at_base(found.profile) == pytest.approx(140.0, abs=0.02)
    assert len(found.profile.outer.segments) == 10
    assert not found.deviation_mm.is_of_hand
    assert plain.deviation_mm.is_of_hand


def test_what_a_hand_cut_off_is_still_the_hand():
    drawn = with_corner_cut(RIB, (70, 0), 3.0)
    found = symmetrise(drawn, about=UPRIGHT, read=read_of(drawn))
    assert found.deviation_mm.is_of_hand
    assert found.deviation_mm.max_mm > found.deviation_mm.chance_mm > 0.0


def test_the_side_in_doubt_is_passed_over_for_the_other():
    corners = np.array(RIB.exterior.coords)[:-1]
    corners[2] += (1.0, 0.0)
    drawn = seen(corners)
    doubt = DoubtfulEdge("ambiguous", (70.5, 20.0), 100.0, 1.2)
    found = symmetrise(drawn, about=UPRIGHT, read=read_of(drawn, doubts=[doubt]))
    assert found.passed_over == ((70.5, 20.0),)
    assert found.sides_passed_over == (0, 1, 0)
    away = shapely.hausdorff_distance(found.profile.polygon(0.01), RIB, densify=0.01)
    assert away < 0.05
    both = [doubt, DoubtfulEdge("ambiguous", (-70.0, 20.0), 100.0, 1.2)]
    neither = symmetrise(drawn, about=UPRIGHT, read=read_of(drawn, doubts=both))
    assert neither.passed_over == ()
    bounds = neither.profile.bounds_mm
    assert bounds[2] - bounds[0] == pytest.approx(141.0, abs=0.1)


def test_a_side_read_worse_counts_less():
    corners = np.array(RIB.exterior.coords)[:-1]
    corners[[1, 2], 0] += 0.8
    drawn = seen(corners)
    alike = symmetrise(drawn, about=UPRIGHT, read=read_of(drawn))
    weighed = symmetrise(drawn, about=UPRIGHT, read=read_of(drawn, spoilt=lambda p: p[:, 0] > 41))
    assert alike.profile.bounds_mm[2] == pytest.approx(70.4, abs=0.05)
    assert weighed.profile.bounds_mm[2] == pytest.approx(70.0, abs=0.05)


def test_a_kept_side_is_taken_whatever_was_read():
    corners = np.array(RIB.exterior.coords)[:-1]
    corners[[1, 2], 0] += 0.8
    drawn = seen(corners)
    doubt = DoubtfulEdge("faint", (70.8, 15.0), 30.0, 1.0)
    found = symmetrise(drawn, about=UPRIGHT, keep="second", read=read_of(drawn, doubts=[doubt]))
    assert found.profile.bounds_mm[2] == pytest.approx(70.8, abs=0.05)
    assert found.passed_over == ()


def test_a_reading_survives_its_record_and_moves_with_its_outline():
    read = read_of(seen(RIB.exterior.coords), doubts=[DoubtfulEdge("faint", (70, 15), 4.0, 0.5)])
    again = ReadEdge.from_record(read.to_record())
    assert np.allclose(again.places_mm, read.places_mm, atol=1e-4)
    assert np.allclose(again.sigma_mm, read.sigma_mm, atol=1e-4)
    matrix = np.array([[0.0, -1.0, 5.0], [1.0, 0.0, 2.0], [0.0, 0.0, 1.0]])
    moved = read.transformed(matrix)
    assert moved.doubts[0].place_mm == pytest.approx((-10.0, 72.0))
    assert moved.sigma_at(np.array([[-10.0, 72.0]]))[0] == pytest.approx(0.5 / 1.96)
    assert moved.is_doubted(np.array([[-10.0, 72.0], [0.0, 0.0]])).tolist() == [True, False]


@pytest.mark.parametrize("record", ["", "[]", "[1,[[1,2]]]", "[0,[[1,2,3]]]", "[1,[[1,2,-3]]]"])
def test_a_damaged_record_says_so(record):
    from geometry.errors import OutlineError

    with pytest.raises(OutlineError, match="Trace it again"):
        ReadEdge.from_record(record)
