"""Distances, boxes, arcs for cubics, and chains: the geometry under the files."""

import itertools
import math
import random

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from geometry.files.biarc import as_arcs, without_cubics
from geometry.files.distance import distance_mm
from geometry.files.extent import extent_mm
from geometry.files.reading.chain import chain, is_closed
from geometry.outline import Arc, Cubic, Line

coordinate = st.floats(-100.0, 100.0)
point = st.tuples(coordinate, coordinate)
arcs = st.builds(
    Arc, point, st.floats(0.5, 80.0), st.floats(-7.0, 7.0), st.floats(0.05, 6.2)
) | st.builds(Arc, point, st.floats(0.5, 80.0), st.floats(-7.0, 7.0), st.floats(-6.2, -0.05))
cubics = st.builds(Cubic, point, point, point, point)


def dense(segment, count=4001):
    """Points by the plain formulas of a circle and of Bernstein's polynomials."""
    t = np.linspace(0.0, 1.0, count)[:, None]
    if isinstance(segment, Arc):
        angle = segment.start_rad + t[:, 0] * segment.sweep_rad
        ring = np.column_stack((np.cos(angle), np.sin(angle)))
        return np.array(segment.center) + segment.radius_mm * ring
    p = [np.array(q) for q in (segment.start, segment.control1, segment.control2, segment.end)]
    s = 1.0 - t
    return s**3 * p[0] + 3 * s * s * t * p[1] + 3 * s * t * t * p[2] + t**3 * p[3]


@given(arcs, point)
def test_distance_from_an_arc(arc, place):
    line = LineString(dense(arc))
    chord_error = arc.radius_mm * (1 - math.cos(abs(arc.sweep_rad) / 8000))
    found = distance_mm(np.array([place]), [arc])[0]
    assert found == pytest.approx(line.distance(Point(place)), abs=chord_error + 1e-9)


@pytest.mark.parametrize("count", [40, 400])
def test_distance_from_many_lines_whichever_way_it_is_found(count):
    rng = np.random.default_rng(3)
    corners = rng.uniform(-50, 50, (count + 1, 2))
    places = rng.uniform(-60, 60, (count, 2))
    lines = [Line(tuple(a), tuple(b)) for a, b in itertools.pairwise(corners)]
    whole = LineString(corners)
    expected = [whole.distance(Point(p)) for p in places]
    assert distance_mm(places, lines) == pytest.approx(expected, abs=1e-9)


@given(arcs | cubics)
def test_extent_is_that_of_a_dense_line(segment):
    points = dense(segment)
    size = float(np.ptp(points, axis=0).max())
    expected = (*points.min(axis=0), *points.max(axis=0))
    assert extent_mm([segment]) == pytest.approx(expected, abs=1e-5 * size + 1e-9)


@settings(max_examples=60, deadline=None)
@given(cubics, st.sampled_from([0.005, 0.05]))
def test_arcs_for_a_cubic_stay_within_the_tolerance(cubic, tolerance):
    assume(math.dist(cubic.start, cubic.end) > 0.1)
    pieces = as_arcs(cubic, tolerance)
    assert pieces[0].start == pytest.approx(cubic.start, abs=1e-7)
    assert pieces[-1].end == pytest.approx(cubic.end, abs=1e-7)
    for a, b in itertools.pairwise(pieces):
        assert math.dist(a.end, b.start) < 1e-6
    assert distance_mm(dense(cubic), pieces).max() <= tolerance
    curve = LineString(dense(cubic))
    along = [p.point_at(t) for p in pieces for t in (0.25, 0.5, 0.75)]
    assert max(curve.distance(Point(p)) for p in along) <= tolerance + 1e-3


def test_a_quarter_circle_as_a_cubic_needs_few_arcs():
    # The usual cubic for a quarter circle is within 2.7e-4 r of it. Chords within 5 µm would span
    # 2 acos(1 - 5e-5) = 0.02 rad each and be 78.
    k = 0.5522847498
    quarter = Cubic((100, 0), (100, 100 * k), (100 * k, 100), (0, 100))
    pieces = as_arcs(quarter)
    assert len(pieces) < 20
    # At its ends that cubic's radius is 3 · 55.228² / (2 · 44.772) = 102.2.
    radii = [p.radius_mm for p in pieces if isinstance(p, Arc)]
    assert radii == pytest.approx([100.0] * len(pieces), rel=0.022)


def test_a_straight_cubic_is_one_line():
    assert as_arcs(Cubic((0, 0), (10, 10), (20, 20), (30, 30))) == [Line((0, 0), (30, 30))]


def test_lines_and_arcs_pass_unchanged():
    kept = (Line((0, 0), (1, 0)), Arc((1, 1), 1.0, -math.pi / 2, 1.0))
    assert without_cubics(kept) == kept


@given(st.integers(3, 12), st.integers(0, 10_000))
def test_shuffled_and_turned_segments_join_to_the_same_ring(count, seed):
    rng = random.Random(seed)
    corners = [
        (50 * math.cos(2 * math.pi * k / count), 50 * math.sin(2 * math.pi * k / count))
        for k in range(count)
    ]
    sides = [Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]
    loose = [s.reversed() if rng.random() < 0.5 else s for s in sides]
    rng.shuffle(loose)
    (ring,) = chain(loose)
    assert is_closed(ring)
    assert len(ring) == count
    assert all(math.dist(a.end, b.start) < 1e-9 for a, b in itertools.pairwise(ring))
    # A regular polygon's area: n/2 r² sin(2π/n).
    area = abs(sum(s.area_term for s in ring))
    assert area == pytest.approx(count / 2 * 2500 * math.sin(2 * math.pi / count))


def test_an_open_chain_found_in_its_middle_is_whole():
    a, b, c = Line((0, 0), (1, 0)), Line((1, 0), (2, 1)), Line((2, 1), (3, 1))
    (path,) = chain([b, a, c])
    assert [s.start for s in path] in ([(0, 0), (1, 0), (2, 1)], [(3, 1), (2, 1), (1, 0)])
    assert not is_closed(path)


def test_two_squares_that_share_a_corner_stay_two():
    def sides(x, y):
        corners = [(x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1)]
        return [Line(p, q) for p, q in zip(corners, corners[1:] + corners[:1], strict=True)]

    assert [len(path) for path in chain(sides(0, 0) + sides(1, 1))] == [4, 4]
