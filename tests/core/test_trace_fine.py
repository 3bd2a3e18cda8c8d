"""The fine reading of an edge: from a ring off by blocks to a fraction of a pixel, with its ±."""

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from geometry.outline.trace import rings
from geometry.outline.trace.corners import restored_corners
from geometry.outline.trace.doubts import DOUBTED_PX, doubtful_stretches, open_places
from geometry.outline.trace.light import Blocks
from geometry.outline.trace.rings import fine_rings
from tests.core.part_pictures import DARK, KRAFT, PALE, camera_over, picture

SIZE, SCALE = (420, 360), 8.0
SHAPE = (
    box(-14, -10, 14, 10)
    - Point(2, 12).buffer(5.0, quad_segs=90)
    - box(-8, -11, -5, -3)
    - Point(-8, 4).buffer(2.0, quad_segs=90)
)


def seen(bench, shape, height_mm=0.0):
    rings = [
        bench.to_photo(np.asarray(ring.coords)[:-1], height_mm)
        for ring in (shape.exterior, *shape.interiors)
    ]
    return Polygon(rings[0], rings[1:])


def roughly(part, seed, off_px=1.5):
    """A polygon in px as blocks leave it: corners rounded, sides off smoothly."""
    rng = np.random.default_rng(seed)
    wave, turn = rng.uniform(0.05, 0.15, (2, 2)), rng.uniform(0.0, 6.0, 2)

    def moved(places):
        away = off_px * np.sin(places @ wave.T + turn)
        return np.round((places + away) / 2.0) * 2.0

    soft = part.buffer(-1.5).buffer(3.0).buffer(-1.5).segmentize(1.0)
    return shapely.make_valid(shapely.transform(soft, moved)).buffer(0)


def read(look, seed=1, height_mm=0.0, tilt_deg=3.0, shape=SHAPE):
    bench = camera_over(SIZE, SCALE, tilt_deg=tilt_deg, turn_deg=20.0, lens=6.0)
    photo = picture(bench, shape, height_mm=height_mm, **look)
    truth = seen(bench, shape, height_mm)
    rough = max(shapely.get_parts(roughly(truth, seed)), key=lambda part: part.area)
    return fine_rings(photo, bench, None, rough, height_mm), truth


@pytest.mark.parametrize(
    ("look", "height_mm"),
    [
        ({}, 0.0),
        ({"face": KRAFT, "bed": PALE, "jpeg": 88}, 0.0),
        ({"shadow": (1.2, 0.8), "shadow_blur_mm": 0.5, "bed": PALE}, 0.0),
        ({"wall": (0.3, 0.3, 0.3)}, 4.0),
        ({"face": KRAFT, "wall": (0.1, 0.06, 0.03), "bed": DARK}, 4.0),
    ],
    ids=["white on dark", "kraft on pale", "soft shadow", "wall", "dim wall on dark"],
)
def test_a_ring_off_by_blocks_is_read_to_a_fraction_of_a_pixel(look, height_mm):
    rings, truth = read(look, height_mm=height_mm, tilt_deg=18.0 if height_mm else 3.0)
    points = np.concatenate([ring.points for ring in rings])
    sigma = np.concatenate([ring.sigma for ring in rings])
    off = shapely.distance(shapely.points(points), truth.boundary)
    assert np.median(off) < 0.2
    assert np.percentile(off, 95) < 0.6
    assert (off <= 1.96 * sigma).mean() > 0.9


def test_a_faint_edge_says_that_it_is():
    clear, _ = read({"face": KRAFT, "bed": PALE})
    near = tuple(0.98 * value for value in PALE)
    faint, _ = read({"face": near, "bed": PALE, "noise": 0.01})
    assert np.median(faint[0].sigma) > 1.5 * np.median(clear[0].sigma)
    told = [
        doubt for ring in faint for doubt in doubtful_stretches(ring.points, ring.sigma, ring.rival)
    ]
    assert told
    assert all(doubt.off_px > 0.0 and doubt.reach_px > 0.0 for doubt in told)


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.integers(0, 10_000), st.floats(0.0, 3.0))
def test_rings_never_cross_however_wrong_the_rough_ones_are(seed, off_px):
    bench = camera_over(SIZE, SCALE, tilt_deg=10.0, lens=6.0)
    photo = picture(bench, SHAPE, face=KRAFT, bed=PALE, noise=0.01, seed=seed)
    rough = roughly(seen(bench, SHAPE), seed, off_px)
    rings = fine_rings(photo, bench, None, max(shapely.get_parts(rough), key=lambda p: p.area), 0.0)
    whole = Polygon(rings[0].points, [ring.points for ring in rings[1:]])
    assert whole.is_valid
    assert not whole.is_empty


def test_a_rounded_corner_is_made_sharp_and_a_circle_gets_none():
    square = shapely.get_coordinates(box(0, 0, 60, 60).buffer(-1.0).buffer(1.0).segmentize(1.0))[
        :-1
    ]
    sigma = np.full(len(square), 0.1)
    sharp, wide, told = restored_corners(square, sigma, sigma, 0.9)
    assert len(sharp) == len(wide) == len(told) < len(square)
    for corner in ((0, 0), (0, 60), (60, 0), (60, 60)):
        assert np.hypot(*(sharp - corner).T).min() < 0.1
    turn = np.linspace(0.0, 2.0 * np.pi, 60, endpoint=False)
    ring = 10.0 * np.column_stack((np.cos(turn), np.sin(turn)))
    same, _, _ = restored_corners(ring, np.full(60, 0.1), np.zeros(60), 0.9)
    assert len(same) == 60


@pytest.mark.parametrize("tilt_deg", [3.0, 12.0])
def test_a_tip_is_given_back_where_the_face_fills_it_and_nowhere_else(tilt_deg):
    sharp = box(-14, -10, 14, 10)
    rounded = sharp.buffer(-0.9).buffer(0.9, quad_segs=60)
    # Drawn out to its tip a rounded corner would be off by 3 px.
    for shape, limit_px in ((sharp, 0.9), (rounded, 2.0)):
        rings, truth = read({"face": KRAFT, "bed": DARK}, shape=shape, tilt_deg=tilt_deg)
        corners = shapely.get_coordinates(truth.exterior)
        ring = shapely.LinearRing(rings[0].points)
        assert shapely.distance(shapely.points(corners), ring).max() < limit_px
        assert shapely.distance(shapely.points(rings[0].points), truth.boundary).max() < limit_px


def test_an_acute_tip_is_found_where_its_sides_no_longer_blur_into_each_other():
    shape = Polygon([(-16, -5), (16, -5), (-16, 10)])
    rings, truth = read({"face": KRAFT, "bed": DARK}, shape=shape)
    tip = np.array(truth.exterior.coords)[:3]
    ring = shapely.LinearRing(rings[0].points)
    assert shapely.distance(shapely.points(tip), ring).max() < 1.4


@pytest.mark.parametrize("blur_px", [0.7, 1.0])
def test_the_lens_blur_is_that_of_the_sharpest_stretches(blur_px, monkeypatch):
    found = []
    real = rings.lens_blur
    monkeypatch.setattr(rings, "lens_blur", lambda *asked: found.append(real(*asked)) or found[-1])
    shadow = {"wall": KRAFT, "shadow": (0.3, 0.15), "shadow_blur_mm": 0.05}
    look = {"face": KRAFT, "bed": PALE, "blur_px": blur_px, **shadow}
    read(look, height_mm=0.5)
    # A pixel's own width and the means between neighbours broaden it besides.
    assert blur_px < found[-1] < 1.35 * blur_px


def test_places_at_corners_are_less_sure_than_on_straights():
    (outer, *_), _ = read({"face": PALE, "bed": DARK})
    along = np.roll(outer.points, -6, axis=0) - outer.points
    back = np.roll(outer.points, 6, axis=0) - outer.points
    cross = np.abs(along[:, 0] * back[:, 1] - along[:, 1] * back[:, 0])
    turned = np.pi - np.arctan2(cross, (along * back).sum(axis=1))
    straight, bent = turned < 0.1, turned > 0.8
    assert np.median(outer.sigma[bent]) > 1.15 * np.median(outer.sigma[straight])


def test_where_columns_say_otherwise_than_their_neighbours_they_are_told_to_be_at_odds():
    teeth = [(x, 10.0 + 0.5 * (k % 2)) for k, x in enumerate(np.arange(14.0, -14.1, -0.5))]
    shape = Polygon([(-14, -10), (14, -10), *teeth])
    bench = camera_over(SIZE, SCALE, lens=6.0)
    photo = picture(bench, shape, face=KRAFT, bed=PALE, blur_px=0.5)
    (ring,) = fine_rings(photo, bench, None, seen(bench, box(-14, -10, 14, 10)), 0.0)
    x, y = bench.to_plane(ring.points).T
    amid = np.abs(x) < 10.0
    ragged, plain = amid & (y > 9.0), amid & (y < -9.0)
    assert np.median(ring.split[ragged]) > 0.05 > 0.02 > np.median(ring.split[plain])


def test_a_place_that_is_hardly_doubtful_is_told_without_its_surroundings():
    angle = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    ring = 100.0 * np.column_stack((np.cos(angle), np.sin(angle)))
    near = np.exp(-0.5 * ((angle - np.pi) / 0.1) ** 2)
    told = [doubtful_stretches(ring, most * DOUBTED_PX * near, 0.0 * near) for most in (0.9, 2.0)]
    assert [len(doubts) for doubts in told] == [1, 1]
    assert told[0][0].place == pytest.approx((-100.0, 0.0), abs=2.0)
    assert told[0][0].reach_px < 2.0 < 10.0 < told[1][0].reach_px


def test_what_is_open_far_from_the_edge_is_told_where_it_is():
    flags = np.zeros((60, 80), dtype=bool)
    flags[20:24, 10:40] = True
    blocks = Blocks(np.zeros((60, 80, 3), np.float32), 2, (0, 0))
    edge = np.column_stack((np.full(120, 20.0), np.arange(120.0)))
    (doubt,) = open_places(edge, blocks, flags, 0.2)
    assert doubt.kind == "open"
    assert doubt.place == pytest.approx((49.5, 43.5), abs=2.0)
    assert doubt.reach_px == pytest.approx(30.0, abs=3.0)
    assert doubt.off_px == pytest.approx(59.0, abs=2.0)
    assert not open_places(edge, blocks, flags, 1.0 / 30.0)
