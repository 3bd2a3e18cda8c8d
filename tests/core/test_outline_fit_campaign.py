"""Rings of every kind: the fit keeps the tolerance both ways, and tangent shapes come out so."""

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from geometry.errors import OutlineError
from geometry.outline import Arc, Line, Loop, Profile
from geometry.outline.fit.fitting import fit_chain, fit_ring
from geometry.outline.fit.verifying import simple_lines, within_tolerance
from tests.core.fit_trials import try_ring
from tests.core.ring_shapes import KINDS, filleted, turned


def away(points, line):
    return float(shapely.distance(shapely.points(points), line).max())


def strays(segments, points, tolerance, closed=True):
    """Largest distance of the points from the curve, and of the curve from their polyline."""
    curve = np.vstack([s.flatten(tolerance / 200.0) for s in segments] + [[segments[-1].end]])
    curve = shapely.segmentize(shapely.LineString(curve), tolerance)
    polyline = shapely.LinearRing(points) if closed else shapely.LineString(points)
    return away(points, curve), away(shapely.get_coordinates(curve), polyline)


def along_polygon(corners, shares):
    """Points at shares 0..1 of the way between corners, each edge alike."""
    way = np.asarray(shares) * len(corners)
    edge = np.minimum(way.astype(int), len(corners) - 1)
    part = (way - edge)[:, None]
    return corners[edge] * (1.0 - part) + np.roll(corners, -1, axis=0)[edge] * part


@st.composite
def rings(draw):
    """A ring of one of many kinds, from half a millimetre to metres, 4 to 2000 points."""
    size = 10.0 ** draw(st.floats(-0.3, 3.2))
    kind = draw(st.sampled_from(["wobbly", "star", "wave", "slot", "bitten", "thin", "repeated"]))
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    noise = draw(st.sampled_from([0.0, 0.01, 0.05, 0.1]))
    count = draw(st.sampled_from([12, 60, 300, 2000]))
    if kind == "wobbly":
        points = along_polygon(size * turned(rng.integers(3, 9)), np.sort(rng.uniform(0, 1, count)))
        points = points + rng.normal(0.0, noise, points.shape)
    elif kind == "star":
        corners = 2 * int(rng.integers(3, 20))
        reach = np.where(np.arange(corners) % 2, size, size * rng.uniform(0.3, 0.9))
        points = reach[:, None] * turned(corners)
    elif kind == "wave":
        angle = np.sort(rng.uniform(0.0, 2.0 * math.pi, count))
        reach = size * (1.0 + 0.2 * np.cos(rng.integers(2, 7) * angle))
        points = np.column_stack((reach * np.cos(angle), reach * np.sin(angle)))
        points = points + rng.normal(0.0, noise, points.shape)
    elif kind == "slot":
        middle = shapely.LineString([(0, 0), (size, 0)])
        shape = middle.buffer(
            size * rng.uniform(0.01, 0.4), quad_segs=int(rng.choice([2, 16, 250]))
        )
        points = np.asarray(shape.exterior.coords)[:-1]
    elif kind == "bitten":
        bite = shapely.Point(size / 2, 0.6 * size).buffer(size * rng.uniform(0.05, 0.2))
        points = np.asarray((shapely.box(0, 0, size, 0.6 * size) - bite).exterior.coords)[:-1]
    elif kind == "thin":
        points = turned(count) * [size, size * rng.uniform(0.005, 1.0)]
    else:
        few = size * rng.uniform(0.5, 1.0, (30, 1)) * turned(30)
        points = np.repeat(few, rng.integers(1, 4, 30), axis=0)
    return points[:: draw(st.sampled_from([1, -1]))] + rng.uniform(-500.0, 500.0, 2)


@settings(max_examples=40, deadline=None)
@given(rings(), st.sampled_from([0.02, 0.1, 0.3]), st.sampled_from(["precise", "organic"]))
def test_every_ring_is_kept_within_tolerance_both_ways(ring, tolerance, character):
    segments = fit_ring(ring, tolerance, character=character)
    there, back = strays(segments, ring, tolerance)
    assert there <= tolerance * 1.001
    assert back <= tolerance * 1.001
    Loop(segments)  # refuses gaps


@pytest.mark.parametrize("seed", range(12))
def test_wobbly_hexagon_holes_become_profiles(seed):
    rng = np.random.default_rng(seed)
    hole = along_polygon(12.0 * turned(6), np.arange(400) / 400.0)
    hole = hole + rng.normal(0.0, 0.05, hole.shape)
    plate = Polygon([(-30, -30), (30, -30), (30, 30), (-30, 30)], [hole])
    profile = Profile.from_polygon(plate, 0.1)
    there, back = strays(profile.holes[0].segments, hole, 0.1)
    assert max(there, back) <= 0.1001


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from([0.02, 0.1]), st.sampled_from([0.0, 0.03]))
def test_an_open_chain_is_kept_both_ways_too(seed, tolerance, noise):
    rng = np.random.default_rng(seed)
    x = np.sort(rng.uniform(0.0, 60.0, 200))
    points = np.column_stack((x, 8.0 * np.sin(x / rng.uniform(3.0, 12.0))))
    points = points + rng.normal(0.0, noise, points.shape)
    segments = fit_chain(points, tolerance)
    assert max(strays(segments, points, tolerance, closed=False)) <= tolerance * 1.001
    assert segments[0].start == pytest.approx(tuple(points[0]), abs=1e-9)
    assert segments[-1].end == pytest.approx(tuple(points[-1]), abs=1e-9)


def rounded_polygon(rng):
    """Corners rounded with radii of their own: lines and arcs, tangent everywhere."""
    corners = int(rng.integers(3, 8))
    angle = (np.arange(corners) + rng.uniform(-0.2, 0.2, corners)) * 2.0 * math.pi / corners
    places = rng.uniform(35.0, 60.0, (corners, 1)) * np.column_stack((np.cos(angle), np.sin(angle)))
    return filleted(places, rng.uniform(3.0, 6.0, corners))


def sampled(chain, step, noise, rng):
    points = [s.point_at(float(t)) for s in chain for t in np.arange(0, 1, step / s.length_mm)]
    return np.array(points) + rng.normal(0.0, noise, (len(points), 2))


@pytest.mark.parametrize(("noise", "share"), [(0.0, 0.93), (0.01, 0.90), (0.02, 0.88)])
def test_joints_that_are_tangent_in_truth_come_out_tangent(noise, share):
    rng = np.random.default_rng(11)
    kinks, more = [], []
    for _ in range(25):
        truth = rounded_polygon(rng)
        fitted = fit_ring(sampled(truth, 0.2, noise, rng), 0.1)
        more.append(len(fitted) - len(truth))
        for here, following in itertools.pairwise((*fitted, fitted[0])):
            (ax, ay), (bx, by) = here.tangent_at(1.0), following.tangent_at(0.0)
            kinks.append(abs(math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))))
    assert np.mean(np.array(kinks) < 0.1) >= share
    assert max(more) <= 2
    assert np.mean(more) <= 0.2


def test_a_short_line_between_two_circles_never_runs_back():
    # Two circles all but touching from inside: a sliver of a line between them may turn round.
    for radius in (18.35, 18.37, 18.40, 18.45):
        one = shapely.Point(0.0, 0.0).buffer(18.36, quad_segs=400)
        two = shapely.Point(0.02, -3.0).buffer(radius, quad_segs=400)
        edge = one.union(two).buffer(9.0, quad_segs=400).buffer(-9.0, quad_segs=400).exterior
        places = np.arange(0.0, edge.length, 0.2)
        ring = shapely.get_coordinates(edge.interpolate(places))
        fitted = fit_ring(ring, 0.1)
        for here, following in itertools.pairwise((*fitted, fitted[0])):
            (ax, ay), (bx, by) = here.tangent_at(1.0), following.tangent_at(0.0)
            assert ax * bx + ay * by > 0.5


def test_a_curve_that_strays_one_way_only_is_told():
    square = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    whole = simple_lines(square, 0.1)
    assert within_tolerance(whole, square, 0.1, closed=True)
    # Through all points, but bulging between two of them.
    bulged = (Arc.through((0.0, 0.0), (5.0, -1.0), (10.0, 0.0)), *whole[1:])
    assert not within_tolerance(bulged, square, 0.1, closed=True)
    # On the polyline, but leaving out a corner's points.
    assert not within_tolerance(
        (Line((0.0, 0.0), (10.0, 0.0)), Line((10.0, 0.0), (0.0, 0.0))), square, 0.1, closed=True
    )
    # Open by more than a joint may be.
    assert not within_tolerance(
        (*whole[:3], Line((0.0, 10.0), (0.0, 0.01))), square, 0.1, closed=True
    )


def test_simple_lines_keep_few_of_many_points():
    ring = along_polygon(
        np.array([(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)]), np.arange(400) / 400
    )
    assert len(simple_lines(ring, 0.01)) == 4


@pytest.mark.parametrize("kind", KINDS)
def test_rings_of_every_kind_come_out_as_drawn(kind):
    """Of 10 mm to 3 m and 60 to 20,000 points, with noise up to half the tolerance."""
    trials = [try_ring(kind, seed, most_noise=0.5) for seed in range(2)]
    assert all(t.is_within for t in trials)
    shown = [t for t in trials if t.wanted]
    assert sum(t.nodes for t in shown) == pytest.approx(sum(t.wanted for t in shown), rel=0.03)
    assert sum(t.kept for t in shown) == sum(t.corners for t in shown)
    assert sum(t.kinked for t in shown) == 0
    assert sum(t.tangent for t in shown) >= 0.96 * sum(t.tangents for t in shown)


@pytest.mark.parametrize(("kind", "seed"), [("comb", 110), ("star", 104), ("lobes", 107)])
def test_rough_rings_have_no_more_nodes_than_the_shape(kind, seed):
    """Noise of 0.7 to 0.9 of the tolerance on five to sixteen thousand points."""
    trial = try_ring(kind, seed)
    assert trial.is_within
    assert trial.nodes == trial.wanted


@pytest.mark.parametrize("seed", range(4))
def test_points_known_better_count_for_more(seed):
    """Half of a slot's points carry ten times the noise of the others, and are told to."""
    rng = np.random.default_rng(seed)
    truth = shapely.LineString([(0.0, 0.0), (40.0, 0.0)]).buffer(12.0, quad_segs=256).exterior
    places = shapely.get_coordinates(truth.interpolate(np.arange(0.0, truth.length, 0.4)))
    sigma = np.where(rng.random(len(places)) < 0.5, 0.06, 0.006)
    ring = places + rng.normal(0.0, 1.0, places.shape) * sigma[:, None]
    plain, weighted = (fit_ring(ring, 0.25, weights=w) for w in (None, 1.0 / sigma**2))

    def off(segments):
        points = np.vstack([s.points_at(np.linspace(0.0, 1.0, 50)) for s in segments])
        return float(np.sqrt(np.mean(shapely.distance(shapely.points(points), truth) ** 2)))

    assert [type(s) for s in weighted] == [type(s) for s in plain]
    assert off(weighted) < 0.5 * off(plain)


def test_weights_all_alike_change_nothing_and_bad_ones_are_refused():
    ring = sampled(rounded_polygon(np.random.default_rng(3)), 0.3, 0.01, np.random.default_rng(3))
    plain, alike = (fit_ring(ring, 0.1, weights=w) for w in (None, np.full(len(ring), 7.0)))
    assert len(alike) == len(plain)
    for one, two in zip(plain, alike, strict=True):
        assert math.dist(one.start, two.start) < 1e-6
    for bad in (np.ones(3), np.zeros(len(ring)), np.full(len(ring), math.nan)):
        with pytest.raises(OutlineError, match="one weight above 0"):
            fit_ring(ring, 0.1, weights=bad)


def test_a_ring_that_does_not_cross_itself_is_not_made_to():
    """Two arcs that all but touch, with a sliver of a line between them that once crossed."""
    rng = np.random.default_rng(36)
    shield = Polygon([(-30, 0), (30, 0), (24, 30), (0, 48), (-24, 30)])
    waves = []
    plate = shield - shapely.Point(0, 20).buffer(8.0, quad_segs=64)
    for ring in (plate.exterior, *plate.interiors):
        places = np.arange(0.0, ring.length, 0.3)
        phase = 2.0 * math.pi * places / ring.length
        move = sum(
            rng.normal(0.0, 1.0, (2, 1)) * np.cos(k * phase + rng.uniform(0, 6)) for k in (2, 3, 5)
        )
        waves.append(shapely.get_coordinates(ring.interpolate(places)) + 0.05 * move.T)
    hole = waves[1]
    assert shapely.LinearRing(hole).is_simple
    fitted = Loop(fit_ring(hole, 0.05))
    assert shapely.LinearRing(fitted.flatten(0.001)).is_simple
