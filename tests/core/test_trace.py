"""The room that reads pictures for outlines: true edges, told doubts, and never a crossing."""

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from geometry.errors import Cancelled, FlatwrightError, TraceError
from geometry.outline.trace import Doubt, trace, trace_all, trace_preview
from geometry.outline.trace.bed import predict_bed
from geometry.outline.trace.doubts import beside_edge, doubtful_stretches
from geometry.outline.trace.masks import labelled
from geometry.outline.trace.subpixel import marginals, wander
from tests.core.part_pictures import KRAFT, MAT, PALE, WHITE, camera_over, gaps, picture

SIZE, SCALE = (420, 360), 8.0
SHAPE = (
    box(-14, -10, 14, 10)
    - Point(2, 12).buffer(5.0, quad_segs=90)
    - box(-8, -11, -5, -3)
    - Point(-8, 4).buffer(2.0, quad_segs=90)
)
CLICK = (6.0, -4.0)


def traced(shape=SHAPE, at=CLICK, height_mm=0.0, tilt_deg=3.0, **look):
    bench = camera_over(SIZE, SCALE, tilt_deg=tilt_deg, turn_deg=20.0, lens=6.0)
    photo = picture(bench, shape, height_mm=height_mm, **look)
    click = tuple(bench.to_photo(np.array([at]), height_mm)[0])
    return trace(photo, bench, click, height_mm=height_mm)


@pytest.mark.parametrize(
    "look",
    [
        {},
        {"face": KRAFT, "bed": PALE},
        {"shadow": (1.2, 0.8), "bed": PALE},
        {"grid": (0.5, 0.5, 0.4)},
        {"lines": [([(-20.0, 0.0), (20.0, 2.0)], 0.5, (0.3, 0.3, 0.3))]},
    ],
    ids=["white on dark", "kraft on pale", "shadow", "grid under it", "pencil across it"],
)
def test_the_edge_agrees_with_what_was_drawn(look):
    found = traced(**look)
    away = gaps(found.polygon(0.005), SHAPE)
    assert np.percentile(away, 95) <= 0.10
    assert away.max() <= 0.3
    assert len(found.holes) == 1


def test_the_wall_of_a_thick_part_is_left_out():
    found = traced(height_mm=5.0, tilt_deg=20.0, wall=(0.3, 0.3, 0.3))
    away = gaps(found.polygon(0.005), SHAPE)
    assert np.percentile(away, 95) <= 0.15


def blob(seeds):
    """A shape of a few squares and disks that hang together; maybe with slots and holes."""
    rng = np.random.default_rng(seeds)
    shape = Point(0, 0).buffer(6.0)
    for _ in range(4):
        x, y, size = rng.uniform(-9, 9), rng.uniform(-7, 7), rng.uniform(1.5, 5.0)
        piece = (
            box(x - size, y - size, x + size, y + size)
            if rng.random() < 0.5
            else Point(x, y).buffer(size)
        )
        shape = shape.union(piece) if rng.random() < 0.6 else shape.difference(piece)
    parts = shapely.get_parts(shape)
    return max(parts, key=lambda part: part.area)


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.integers(0, 10_000), st.sampled_from([WHITE, KRAFT, MAT]), st.sampled_from([0.0, 4.0]))
def test_no_outline_ever_crosses_itself_or_another(seed, face, height_mm):
    shape = blob(seed)
    bench = camera_over(SIZE, SCALE, tilt_deg=12.0, turn_deg=seed % 360, lens=3.0)
    look = {"wall": (0.2, 0.2, 0.2), "height_mm": height_mm} if height_mm else {}
    photo = picture(bench, shape, face=face, bed=PALE, noise=0.01, seed=seed, **look)
    place = shapely.maximum_inscribed_circle(shape, 0.1).coords[0]
    click = tuple(bench.to_photo(np.array([place]), height_mm)[0])
    doubts: list[Doubt] = []
    try:
        found = trace(photo, bench, click, height_mm=height_mm, doubts=doubts)
    except FlatwrightError:
        # A refusal is an answer; nothing else may come out but an outline.
        return
    flat = found.polygon(0.005)
    assert flat.is_valid
    assert not flat.is_empty
    assert all(doubt.off_px > 0.0 for doubt in doubts if doubt.kind in ("faint", "ambiguous"))


@pytest.fixture(scope="module")
def plain():
    bench = camera_over(SIZE, SCALE)
    return bench, picture(bench, box(-12, -9, 12, 9))


@pytest.mark.parametrize("click", [(-20.0, 30.0), (500.0, 10.0), (100.0, 400.0), (np.nan, 3.0)])
def test_a_click_outside_the_photo_is_named(plain, click):
    bench, photo = plain
    with pytest.raises(TraceError, match=r"outside the photo|no place"):
        trace(photo, bench, click)


def test_a_click_on_the_mat_is_no_part(plain):
    bench, photo = plain
    with pytest.raises(TraceError, match="Click on the part"):
        trace(photo, bench, (20.0, 20.0))


def test_a_rough_ring_is_near_the_part(plain):
    bench, photo = plain
    rough = Polygon(trace_preview(photo, bench, (210.0, 180.0)))
    assert rough.symmetric_difference(box(-12, -9, 12, 9)).area < 40.0


def test_progress_runs_up_and_can_stop_the_work(plain):
    bench, photo = plain
    told = []
    trace(photo, bench, (210.0, 180.0), progress=lambda share, words: told.append((share, words)))
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0

    def stop(share, words):
        raise Cancelled

    with pytest.raises(Cancelled):
        trace(photo, bench, (210.0, 180.0), progress=stop)


def test_all_parts_at_once_needs_a_grid(plain):
    bench, photo = plain
    assert predict_bed(photo, bench) is None
    with pytest.raises(TraceError, match="Click on each part"):
        trace_all(photo, bench)


def test_a_closed_chain_knows_its_states_and_what_lies_beyond():
    rng = np.random.default_rng(4)
    at = np.round(4.0 + 2.0 * np.sin(np.arange(60) * 2.0 * np.pi / 60.0)).astype(int)
    likely = rng.uniform(0.1, 0.2, (60, 2, 9))
    likely[np.arange(60), (np.arange(60) > 30).astype(int), at] = 10.0
    moves = wander(9, 1.0, 0.8, 2.0, 0.05)
    odds = marginals(likely, moves, np.full(2, 0.5), 0.1)
    assert odds.sum(axis=(1, 2)) == pytest.approx(np.ones(60))
    assert (odds.sum(axis=1).argmax(axis=1) == at).all()
    assert (odds.sum(axis=2).argmax(axis=1) == (np.arange(60) > 30)).all()
    # Where the ring is cut open makes no difference.
    turned = marginals(np.roll(likely, 17, axis=0), moves, np.full(2, 0.5), 0.1)
    assert np.roll(odds, 17, axis=0) == pytest.approx(turned, abs=1e-6)


def test_what_is_read_unsurely_follows_its_neighbours_and_is_less_sure():
    places = np.arange(-2.0, 2.01, 0.25)
    likely = np.exp(-0.5 * (places / 0.3) ** 2)[None, None].repeat(200, axis=0)
    likely[50:60] = np.exp(-0.5 * ((places - 1.5) / 4.0) ** 2)
    odds = marginals(likely, wander(len(places), 0.25, 0.1, 0.5, 0.01), np.ones(1), 0.1)
    course = odds[:, 0] @ places
    spread = np.sqrt(odds[:, 0] @ places**2 - course**2)
    assert np.abs(course).max() < 0.2
    assert spread[55] > 1.5 * spread[150]


def test_connected_regions_have_numbers_of_their_own():
    mask = np.zeros((6, 8), dtype=bool)
    mask[1:3, 1:3] = mask[4, 1:7] = mask[1:5, 6] = True
    labels = labelled(mask)
    assert len(np.unique(labels[mask])) == 2
    assert (labels[~mask] == 0).all()
    assert labels[4, 1] == labels[1, 6]


def test_doubtful_stretches_tell_where_how_long_and_how_far_off():
    turn = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    ring = 100.0 * np.column_stack((np.cos(turn), np.sin(turn)))
    sigma = np.full(400, 0.1)
    sigma[100:120] = 1.5
    (doubt,) = doubtful_stretches(ring, sigma, np.zeros(400))
    assert doubt.kind == "faint"
    assert doubt.place == pytest.approx(tuple(ring[110]), abs=2.0)
    assert doubt.reach_px == pytest.approx(10 * 1.57, rel=0.1)
    assert 1.96 * 1.5 < doubt.off_px < 3.5 * 1.5


def test_a_seam_or_a_line_tells_how_far_the_traced_edge_lies_from_it():
    ring = np.column_stack((np.arange(100.0), np.zeros(100)))
    asked = (Doubt("seam", (40.0, 0.0)), Doubt("line", (60.0, 25.0), off_px=40.0))
    seam, line = beside_edge(asked, ring, np.full(100, 0.2))
    assert 1.96 * 0.2 < seam.off_px < 3.5 * 0.2
    assert (line.kind, line.place, line.off_px) == ("line", (60.0, 25.0), 40.0)
    (line,) = beside_edge((Doubt("line", (60.0, 25.0)),), ring, np.full(100, 0.2))
    assert 25.0 < line.off_px < 26.0
