"""Rings of points become few lines, arcs and cubics that stay within the tolerance."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from geometry.errors import OutlineError
from geometry.outline import Arc, Cubic, Line, Loop, Profile
from geometry.outline.fit import fitting
from geometry.outline.fit.chain_search import search
from geometry.outline.fit.fitting import fit_chain, fit_ring


def regular(count, radius):
    angles = np.arange(count) * 2.0 * math.pi / count
    return radius * np.column_stack((np.cos(angles), np.sin(angles)))


def dense(polygon, step, noise=0.0, seed=1):
    ring = polygon.exterior
    places = np.arange(0.0, ring.length, step)
    points = np.array([p.coords[0] for p in ring.interpolate(places)])
    return points + np.random.default_rng(seed).normal(0.0, noise, points.shape)


def strays(segments, ring, tolerance):
    """Largest distance from the ring's corners to the result and the other way."""
    curve = Polygon(Loop(segments).flatten(tolerance / 50.0)).exterior
    there = shapely.distance(shapely.points(ring), curve).max()
    back = shapely.distance(shapely.points(np.asarray(curve.coords)), Polygon(ring).exterior).max()
    return there, back


def kinks_deg(segments):
    turns = []
    for here, following in zip(segments, segments[1:] + segments[:1], strict=True):
        (ax, ay), (bx, by) = here.tangent_at(1.0), following.tangent_at(0.0)
        turns.append(abs(math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))))
    return np.array(turns)


@pytest.mark.parametrize("count", [3, 4, 5, 6, 8, 12, 24])
def test_sparse_corners_stay_corners_joined_by_lines(count):
    corners = regular(count, 30.0)
    segments = fit_ring(corners, 0.1)
    assert len(segments) == count
    assert all(isinstance(s, Line) for s in segments)
    found = {(round(x, 9), round(y, 9)) for x, y in Loop(segments).nodes()}
    assert found == {(round(x, 9), round(y, 9)) for x, y in corners}


@pytest.mark.parametrize("turn", [1, -1])
def test_a_ring_about_one_center_is_one_whole_arc_in_its_direction(turn):
    (arc,) = fit_ring(regular(200, 30.0)[::turn] + np.array([5.0, -7.0]), 0.05)
    assert isinstance(arc, Arc)
    assert arc.is_circle
    assert arc.sweep_rad == pytest.approx(turn * 2.0 * math.pi)
    assert arc.center == pytest.approx((5.0, -7.0), abs=1e-9)
    assert arc.radius_mm == pytest.approx(30.0, abs=1e-9)


def test_a_rounded_rectangle_is_four_lines_and_four_tangent_arcs():
    rounded = box(0, 0, 100, 60).buffer(-8.0).buffer(8.0, quad_segs=64)
    segments = fit_ring(np.asarray(rounded.exterior.coords)[:-1], 0.05)
    assert sorted(type(s).__name__ for s in segments) == ["Arc"] * 4 + ["Line"] * 4
    assert [s.radius_mm for s in segments if isinstance(s, Arc)] == pytest.approx(
        [8.0] * 4, abs=0.01
    )
    assert kinks_deg(segments).max() < 1e-6


def test_a_noisy_rectangle_gets_its_four_sharp_corners_back():
    ring = dense(box(0, 0, 100, 60), 0.12, noise=0.02)
    segments = fit_ring(ring, 0.1)
    assert [type(s) for s in segments] == [Line] * 4
    truth = shapely.MultiPoint([(0, 0), (100, 0), (100, 60), (0, 60)])
    gaps = shapely.distance(shapely.points(Loop(segments).nodes()), truth)
    assert gaps.max() < 0.02


def test_corners_between_lines_and_arcs_stay_sharp():
    slot = shapely.union_all(
        [box(0, 0, 80, 30), shapely.Point(40, 30).buffer(15, quad_segs=90)]
    ) - box(10, -1, 13, 15)
    segments = fit_ring(dense(slot, 0.1, noise=0.015), 0.1)
    assert len(segments) == 10
    (arc,) = [s for s in segments if isinstance(s, Arc)]
    assert arc.radius_mm == pytest.approx(15.0, abs=0.03)
    assert kinks_deg(segments) == pytest.approx([90.0] * 10, abs=0.5)


@pytest.mark.parametrize("tolerance", [0.2, 0.05, 0.01])
def test_an_ellipse_is_smooth_and_within_tolerance(tolerance):
    angles = np.arange(1000) * 2.0 * math.pi / 1000
    ring = np.column_stack((50.0 * np.cos(angles), 30.0 * np.sin(angles)))
    segments = fit_ring(ring, tolerance)
    assert len(segments) <= 16
    assert max(strays(segments, ring, tolerance)) <= tolerance
    assert kinks_deg(segments).max() < 4.0


def test_ten_thousand_points_become_few_segments():
    angles = np.arange(10_000) * 2.0 * math.pi / 10_000
    radii = 60.0 + 8.0 * np.cos(5 * angles)
    ring = np.column_stack((radii * np.cos(angles), radii * np.sin(angles)))
    segments = fit_ring(ring, 0.1)
    assert len(segments) <= 30
    assert max(strays(segments, ring, 0.1)) <= 0.1


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.floats(10.0, 40.0), min_size=5, max_size=30),
    st.sampled_from([0.02, 0.1, 0.5]),
    st.integers(0, 3),
    st.sampled_from(["precise", "organic"]),
)
def test_any_star_shaped_ring_is_kept_within_tolerance_both_ways(
    radii, tolerance, rounds, character
):
    ring = regular(len(radii), 1.0) * np.array(radii)[:, None]
    for _ in range(rounds):  # corner cutting turns the polygon into a smooth dense ring
        following = np.roll(ring, -1, axis=0)
        ring = np.stack((0.75 * ring + 0.25 * following, 0.25 * ring + 0.75 * following), 1)
        ring = ring.reshape(-1, 2)
    segments = fit_ring(ring, tolerance, character=character)
    there, back = strays(segments, ring, tolerance)
    assert there <= tolerance * 1.001
    assert back <= tolerance * 1.001
    Loop(segments)  # refuses gaps


def test_a_rough_ring_is_not_bulged_over():
    radii = np.array([10.0] * 8 + [14.0, 22.0])
    ring = regular(len(radii), 1.0) * radii[:, None]
    _, back = strays(fit_ring(ring, 0.5), ring, 0.5)
    assert back <= 0.5


def test_an_open_chain_keeps_its_ends_and_end_directions():
    angles = np.linspace(0.0, 2.0, 200)
    points = np.column_stack((40.0 * np.sin(angles), 25.0 * (1.0 - np.cos(angles))))
    segments = fit_chain(points, 0.02, start_direction=np.array([1.0, 0.0]))
    assert segments[0].start == pytest.approx((0.0, 0.0), abs=1e-12)
    assert segments[-1].end == pytest.approx(tuple(points[-1]), abs=1e-9)
    assert abs(segments[0].tangent_at(0.0)[1]) < 0.01


@pytest.mark.parametrize("noise", [0.0, 0.02, 0.06])
@pytest.mark.parametrize("turn", [0.0, 0.7])
def test_an_arc_that_passes_a_mirror_axis_has_its_centre_on_it(noise, turn):
    # A corner, then a quarter of a circle that ends on the axis x = 40, square to it.
    angles = np.linspace(0.0, math.pi / 2.0, 260)
    arc = np.column_stack((40.0 * (1.0 - np.cos(angles)), 40.0 * np.sin(angles)))
    edge = np.column_stack((np.linspace(-20.0, 0.0, 80, endpoint=False), np.zeros(80)))
    points = np.concatenate((edge, arc))
    points = points + np.random.default_rng(3).uniform(-noise, noise, points.shape)
    points[-1, 0] = 40.0
    turned = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    segments = fit_chain(
        points @ turned, 0.1, end_direction=np.array([1.0, 0.0]) @ turned, mirrored=True
    )
    assert [type(s) for s in segments] == [Line, Arc]
    last = segments[-1]
    center, end = (np.array(p) @ turned.T for p in (last.center, last.end))
    assert center[0] == pytest.approx(40.0, abs=1e-12)
    assert end[0] == pytest.approx(40.0, abs=1e-12)
    assert last.radius_mm == pytest.approx(40.0, abs=0.05)
    assert abs(last.sweep_rad) == pytest.approx(math.pi / 2.0, abs=0.01)


def test_profile_from_polygon_keeps_area_and_holes():
    shape = box(0, 0, 100, 60).buffer(5.0, quad_segs=64) - shapely.Point(30, 30).buffer(
        9, quad_segs=64
    )
    profile = Profile.from_polygon(shape, 0.02)
    assert profile.area_mm2 == pytest.approx(shape.area, rel=1e-4)
    assert profile.holes[0].is_circle
    assert profile.count(Cubic) == 0


@pytest.mark.parametrize("tolerance", [0.0, -1.0, math.nan])
def test_a_tolerance_that_is_none_is_refused(tolerance):
    with pytest.raises(OutlineError, match="tolerance"):
        fit_ring(regular(6, 10.0), tolerance)


def test_too_few_corners_are_refused():
    with pytest.raises(OutlineError, match="three"):
        fit_ring(np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 0.0)]), 0.1)


def test_the_organic_character_draws_few_smooth_curves():
    angles = np.arange(1200) * 2.0 * math.pi / 1200
    radii = 40.0 + 6.0 * np.cos(3 * angles)
    ring = np.column_stack((radii * np.cos(angles), radii * np.sin(angles)))
    segments = fit_ring(ring, 0.1, character="organic")
    assert not any(isinstance(s, Arc) for s in segments)
    assert sum(isinstance(s, Cubic) for s in segments) >= 0.8 * len(segments)
    assert len(segments) <= len(fit_ring(ring, 0.1))
    assert max(strays(segments, ring, 0.1)) <= 0.1
    assert kinks_deg(segments).max() < 4.0
    (circle,) = fit_ring(regular(200, 30.0), 0.05, character="organic")
    assert circle.is_circle


def test_an_unknown_character_is_refused():
    with pytest.raises(OutlineError, match="precise or organic"):
        fit_ring(regular(6, 10.0), 0.1, character="wild")


@pytest.mark.parametrize("corners", range(3, 12))
@pytest.mark.parametrize("tolerance", [0.01, 0.02, 0.05])
def test_dense_roundings_between_long_edges_are_fitted_closed(corners, tolerance):
    """Rings whose places lie far apart on edges and close together on roundings."""
    turn = np.arange(corners) * 2.0 * np.pi / corners
    plain = shapely.Polygon(30.0 * np.column_stack((np.cos(turn), np.sin(turn))))
    rounded = plain.buffer(-3.0).buffer(3.0, quad_segs=64)
    profile = Profile.from_polygon(rounded, tolerance)
    assert profile.area_mm2 == pytest.approx(rounded.area, rel=2e-4)
    assert profile.count(Arc) + profile.count(Cubic) >= corners


def waving(count, height):
    """A round shape of 60 mm cut by a hand that waves."""
    angle = np.linspace(0.0, 2.0 * math.pi, count, endpoint=False)
    waves = sum(np.sin(n * angle + n * n) for n in (13, 17, 22, 28))
    away = 30.0 + 4.0 * np.cos(3.0 * angle) + height * waves
    return away[:, None] * np.column_stack((np.cos(angle), np.sin(angle)))


@pytest.mark.parametrize(("height", "expected"), [(0.0, [False, True]), (0.1, [False])])
def test_a_waving_edge_is_not_sought_free_of_its_nodes(monkeypatch, height, expected):
    sought = []

    def noted(chain, free):
        sought.append(free)
        return search(chain, free=free)

    monkeypatch.setattr(fitting, "search", noted)
    ring = waving(3000, height)
    there, back = strays(fit_ring(ring, 0.1), ring, 0.1)
    assert sought == expected
    assert max(there, back) < 0.101
