"""Where a part is, to a block: any colour on a grid, print, shade, and parts that touch."""

from contextlib import suppress
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from geometry.bench import Residuals
from geometry.errors import FlatwrightError, TraceError
from geometry.outline.trace import trace_all
from geometry.outline.trace.bed import predict_bed
from geometry.outline.trace.clicked import Clicks, Separation, check_whole, places_of_parts
from geometry.outline.trace.ground import BedLight, look_at_ground
from geometry.outline.trace.hairline import Hairline, read_hairline
from geometry.outline.trace.light import LINEAR, Blocks
from geometry.outline.trace.looks import likeness, surroundings
from geometry.outline.trace.marks import marks
from geometry.outline.trace.masks import box_sum
from geometry.outline.trace.mixture import Mixture, fit_mixture
from geometry.outline.trace.region import (
    find_part,
    part_polygon,
)
from tests.core.part_pictures import (
    BLACK,
    BLUE,
    KRAFT,
    MAT,
    PALE,
    RED,
    WHITE,
    camera_over,
    coded,
    grid_over,
    picture,
)

SIZE, SCALE = (480, 420), 6.0
LINES = (0.4, 0.42, 0.38)
SHAPE = box(-22, -14, 22, 14) - Point(10, 4).buffer(5.0) - box(-12, -15, -9, -2)
CLICK = (0.0, -8.0)


def found(shape=SHAPE, at=CLICK, remove=(), add=(), *, has_grid=True, height_mm=0.0, **look):
    bench = grid_over(SIZE, SCALE) if has_grid else camera_over(SIZE, SCALE, tilt_deg=4.0, lens=4.0)
    photo = picture(bench, shape, height_mm=height_mm, grid=LINES if has_grid else None, **look)
    ground = look_at_ground(photo, bench, predict_bed(photo, bench))
    click, *more = (tuple(place) for place in bench.to_photo([at, *add, *remove], height_mm))
    clicks = Clicks(click, tuple(more[: len(add)]), tuple(more[len(add) :]))
    polygon = part_polygon(find_part(photo, bench, ground, clicks, height_mm), tuple(click))
    rings = [
        bench.to_plane(shapely.get_coordinates(ring), height_mm)
        for ring in (polygon.exterior, *polygon.interiors)
    ]
    return Polygon(rings[0], rings[1:])


def overlap(one, two):
    return one.intersection(two).area / one.union(two).area


@pytest.mark.parametrize(
    "look",
    [
        {"bed": MAT},
        {"bed": PALE, "face": WHITE},
        {"bed": MAT, "face": KRAFT, "shadow": (1.5, 1.0)},
        {"bed": MAT, "face": (0.024, 0.07, 0.047), "shadow": (0.5, 0.4)},
        {"bed": MAT, "vignette": 0.5},
        {"bed": MAT, "face": KRAFT, "wall": (0.2, 0.12, 0.06), "height_mm": 4.0},
    ],
    ids=["white", "white on pale", "in its shadow", "the mat's own colour", "dim corners", "thick"],
)
def test_a_part_on_a_grid_is_found_whole_with_its_hole(look):
    part = found(**look)
    assert overlap(part, SHAPE) >= 0.94
    assert len(part.interiors) == 1


@pytest.mark.parametrize("ink", [BLACK, BLUE, RED], ids=["black", "blue", "red"])
def test_print_is_no_hole(ink):
    part = found(patches=((box(-6, 2, 4, 11), ink),))
    assert overlap(part, SHAPE) >= 0.94
    assert len(part.interiors) == 1


def test_print_to_the_edge_stays_on_the_part():
    card = box(-22, -14, 22, 14)
    part = found(card, patches=((box(-22, -14, 0, 14), RED),), at=(10.0, 0.0))
    assert overlap(part, card) >= 0.94


def test_parts_that_touch_are_parted_in_their_seam_by_a_click_on_the_other():
    both = box(-22, -14, 22, 14)
    seam = [([(2.0, -14.0), (2.0, 14.0)], 0.15, BLACK)]
    part = found(both, at=(-10.0, 0.0), remove=[(12.0, 0.0)], face=KRAFT, lines=seam)
    assert overlap(part, box(-22, -14, 2, 14)) >= 0.94


@pytest.mark.parametrize("face", [KRAFT, WHITE], ids=["kraft", "white"])
def test_equal_parts_that_touch_are_parted_by_the_gap_between_them(face):
    both = box(-22, -14, 22, 14)
    gap = [([(2.0, -14.0), (3.0, 14.0)], 0.08, BLACK)]
    part = found(both, at=(-10.0, 0.0), face=face, lines=gap)
    assert overlap(part, box(-22, -14, 2.5, 14)) >= 0.94


def test_a_click_on_the_other_side_of_a_hairline_keeps_both_sides():
    both = box(-22, -14, 22, 14)
    gap = [([(2.0, -14.0), (3.0, 14.0)], 0.08, BLACK)]
    part = found(both, at=(-10.0, 0.0), add=[(12.0, 0.0)], face=KRAFT, lines=gap)
    assert overlap(part, both) >= 0.94


@pytest.mark.parametrize("width_mm", [0.5, 0.7, 1.5])
def test_a_drawn_line_from_rim_to_rim_parts_nothing(width_mm):
    both = box(-22, -14, 22, 14)
    drawn = [([(2.0, -14.0), (3.0, 14.0)], width_mm, (0.14, 0.09, 0.05))]
    part = found(both, at=(-10.0, 0.0), face=KRAFT, lines=drawn)
    assert overlap(part, both) >= 0.94


def test_a_line_that_looks_like_bare_mat_parts_no_face():
    both = box(-22, -14, 22, 14)
    drawn = [([(-22.0, 2.0), (22.0, 3.0)], 0.5, MAT)]
    part = found(both, at=(-10.0, -6.0), face=WHITE, lines=drawn)
    assert overlap(part, both) >= 0.94


def test_without_a_grid_the_ground_is_learnt_from_around():
    part = found(has_grid=False, bed=PALE, face=KRAFT)
    assert overlap(part, SHAPE) >= 0.94


@pytest.mark.parametrize("at", [(5.0, 0.0), (-5.0, 0.0)], ids=["white", "red"])
def test_colours_of_other_printed_parts_about_are_no_ground(at):
    cards = [box(x - 9, y - 7, x + 9, y + 7) for x in (-24, 0, 24) for y in (-20, 0, 20)]
    left = [(box(x - 9, y - 7, x, y + 7), RED) for x in (-24, 0, 24) for y in (-20, 0, 20)]
    look = {"has_grid": False, "bed": MAT, "patches": left}
    assert overlap(found(shapely.MultiPolygon(cards), at, **look), cards[4]) >= 0.9


def test_a_part_that_fills_its_picture_leaves_the_ground_as_it_was():
    bench = camera_over(SIZE, SCALE)
    light = look_at_ground(picture(bench, SHAPE), bench, None).light
    every, face = np.ones(light.known.shape, dtype=bool), fit_mixture(light.seen[0], np.eye(3))
    ground = surroundings(light.seen, light, face, every, every, face, framed=True)
    assert ground is face


def test_a_ground_known_before_is_not_lost_to_dark_print_on_the_face():
    bench, bed = camera_over(SIZE, SCALE), 0.012
    light = look_at_ground(picture(bench, SHAPE, bed=(bed,) * 3), bench, None).light
    inside = np.zeros(light.known.shape, dtype=bool)
    inside[inside.shape[0] // 2, inside.shape[1] // 2] = True
    printed, before = (
        Mixture(np.ones(1), np.full((1, 3), level), np.eye(3)[None] * spread**2)
        for level, spread in ((0.2, 0.05), (np.sqrt(bed), 0.01))
    )
    ground = surroundings(light.seen, light, printed, None, inside, before, framed=True)
    assert np.abs(ground.means - np.sqrt(bed)).max(axis=1).min() < 0.02


def test_a_click_on_the_bench_tells_what_it_looks_like():
    near = {"face": tuple(1.2 * value for value in KRAFT), "bed": KRAFT, "grain": 0.3}
    look = {"has_grid": False, "shadow": (1.0, 0.6), **near}
    with pytest.raises(TraceError, match="on the bench beside it with Remove from Trace"):
        found(**look)
    part = found(remove=[(-26.0, -5.0)], **look)
    assert overlap(part, SHAPE) >= 0.94
    assert len(part.interiors) == 1


def test_every_part_on_the_mat_is_named_once():
    bench = grid_over(SIZE, SCALE)
    shapes = (box(-25, -15, -5, 5), box(5, -5, 25, 15))
    photo = picture(bench, shapely.MultiPolygon(shapes), grid=LINES)
    places = places_of_parts(bench, look_at_ground(photo, bench, predict_bed(photo, bench)), 8.0)
    named = bench.to_plane(np.array(places))
    assert len(named) == 2
    assert all(any(shape.covers(Point(place)) for place in named) for shape in shapes)


def test_bold_lines_of_a_dense_grid_are_foreseen_as_broad_as_they_are():
    bench = camera_over(SIZE, SCALE, turn_deg=17.0, lens=4.0)
    rng = np.random.default_rng(3)
    at = 2.5 * np.arange(-24, 25)
    lines = [(x, 1.0 if k % 4 == 0 else 0.3) for k, x in enumerate(at)]
    upright = [(box(x - 0.5 * wide, -90, x + 0.5 * wide, 90), LINES) for x, wide in lines]
    level = [(box(-90, y - 0.5 * wide, 90, y + 0.5 * wide), LINES) for y, wide in lines]
    photo = picture(bench, box(-5, -5, 5, 5), patches=(*upright, *level), bed=MAT)
    # Of so many crossings a bench keeps some: few have a neighbour beside them.
    nodes = np.array([(x, y) for x in at for y in at])[rng.random(len(at) ** 2) < 0.15]
    seen = bench.to_photo(nodes)
    seen = seen[((seen >= 0.0) & (seen <= np.array(SIZE) - 1.0)).all(axis=1)]
    grid = Residuals(seen, np.zeros_like(seen), np.zeros(len(seen)))
    bed = predict_bed(photo, replace(bench, residuals=grid))
    assert bed.pitch_mm == pytest.approx(2.5, abs=0.001)
    bold = [(x, 11.2) for x, wide in lines if wide > 0.5 and abs(x) < 30.0]
    between = [(x + 1.25, 11.2) for x in at if abs(x) < 30.0]
    assert bed.light(np.array(bold)) == pytest.approx(np.tile(LINES, (len(bold), 1)), rel=0.2)
    assert bed.light(np.array(between)) == pytest.approx(
        np.tile(MAT, (len(between), 1)), rel=0.2, abs=0.01
    )


@pytest.mark.parametrize(
    ("width_mm", "stretches", "stands_out", "is_gap"),
    [
        (0.05, 12, 4.9, True),
        (0.05, 12, 0.4, False),
        (0.05, 12, 2.0, None),
        (0.3, 12, 4.9, False),
        (0.002, 12, 4.9, False),
        (0.05, 2, 2.0, None),
        (0.0, 0, 0.0, None),
    ],
    ids=["gap", "grain", "some of it", "pencil", "nothing", "two stretches", "too short"],
)
def test_a_gap_is_one_where_grain_would_hardly_ever_stand_out_so(
    width_mm, stretches, stands_out, is_gap
):
    assert Hairline(width_mm, stretches, stands_out).is_gap() is is_gap


def lined(width_px, depth, noise, seed=5):
    """A face with grain, and a dark line down its middle that the lens blurs."""
    rng = np.random.default_rng(seed)
    x = np.arange(160)
    taken = np.exp(-0.5 * ((x - 80.3) / np.hypot(0.8, width_px / 3.46)) ** 2)
    light = 0.5 * (1.0 - depth * taken) + rng.normal(0.0, noise, (200, 160))
    return np.repeat(np.rint(255.0 * coded(light)).astype(np.uint8)[..., None], 3, axis=2)


def hairline(photo, below=0.0):
    way = np.column_stack((np.full(180, 80.0), np.arange(10.0, 190.0)))
    everywhere = lambda places: np.ones(len(places), dtype=bool)  # noqa: E731
    return read_hairline(photo, [way], everywhere, 0.2, below)


@pytest.mark.parametrize(("depth", "noise"), [(0.12, 0.005), (0.2, 0.005), (0.12, 0.02)])
def test_a_gap_takes_its_width_of_the_light_however_it_is_blurred(depth, noise):
    line = hairline(lined(0.1, depth, noise))
    # A Gaussian's area is its height times √(2π) deviations; a pixel is 0.2 mm.
    assert line.width_mm == pytest.approx(depth * np.sqrt(2 * np.pi) * 0.8 * 0.2, rel=0.25)
    assert line.is_gap() is True


def test_grain_is_no_gap_and_a_pencil_line_neither():
    assert not any(hairline(lined(0.1, 0.0, 0.02, seed)).is_gap() for seed in range(20))
    assert hairline(lined(2.0, 0.4, 0.005)).is_gap() is False


def test_only_in_thin_sheet_a_gap_is_paler_than_the_face():
    pale = lined(0.1, -0.15, 0.005)
    assert hairline(pale, 0.9).is_gap() is True
    assert hairline(pale).is_gap() is False


@pytest.mark.parametrize(
    ("light", "is_bed"), [(1.0, True), (0.5, True), (1.12, True), (1.35, False)]
)
def test_bed_is_foreseen_in_shade_and_where_a_pale_part_throws_light_on_it(light, is_bed):
    plain, noise = np.array([0.5, 0.45, 0.4]), np.eye(3) * 0.01**2
    lit = np.broadcast_to(plain, (20, 20, 3)).copy()
    flags = np.zeros((20, 20), dtype=bool)
    bed = BedLight(light * lit, lit, plain, 0.5 * plain, np.stack((noise, noise)), flags, ~flags)
    face = fit_mixture(np.array([[0.9, 0.88, 0.85]]), noise, 1)
    told = [np.zeros((20, 20))]
    likeness(bed).tell(told, np.s_[:], face)
    assert (told[0] < 0.0).all() == is_bed


@pytest.mark.parametrize(("darker", "is_print"), [(1.0, True), (0.2, False)])
def test_an_even_opening_deep_in_a_part_is_print_and_an_uneven_one_a_hole(darker, is_print):
    plain, noise = np.array([0.5, 0.45, 0.4]), np.eye(3) * 0.004**2
    lit = np.broadcast_to(plain, (40, 40, 3)).copy()
    y, x = np.mgrid[:40, :40]
    ring = np.abs(np.hypot(x - 20, y - 20) - 6.0) < 2.0
    part = (np.hypot(x - 20, y - 20) < 18.0) & ~(np.hypot(x - 20, y - 20) < 8.0)
    fade = np.linspace(1.0, darker, 40)[:, None]
    seen = np.where(ring, 0.4 * fade, np.where(part | ~ring, 1.6, 1.0))[..., None] * plain
    flags = np.zeros((40, 40), dtype=bool)
    bed = BedLight(seen, lit, plain, 0.5 * plain, np.stack((noise, noise)), flags, ~flags)
    # What a letter encloses looks like the face, and tells nothing.
    found = marks(part, ~ring, bed, 30.0, None)
    assert found[20, 20] == found[14, 20] == is_print
    # A hole so narrow that it is even, as a drill's, is round.
    dot = np.hypot(x - 20, y - 20) < 4.5
    drilled = replace(bed, seen=np.where(dot, 0.4, 1.6)[..., None] * plain)
    assert not marks(part | ~dot, ~dot, drilled, 30.0, None).any()


def shaded(photo, where, left):
    """The same photo where a lamp's shadow leaves shares of light ``left`` of some pixels."""
    light = LINEAR[photo]
    light[where] *= np.array(left, dtype=np.float32)
    return np.round(255.0 * coded(light)).astype(np.uint8)


@pytest.mark.parametrize("at", [(-17.0, -10.0), (-17.0, 2.0)], ids=["in light", "in shadow"])
def test_a_part_half_in_the_shadow_of_what_stands_in_the_lamps_way_is_one(at):
    bench = grid_over(SIZE, SCALE)
    photo = picture(bench, SHAPE, face=(0.66, 0.63, 0.55), bed=(0.8, 0.8, 0.78), grid=LINES)
    y, x = np.mgrid[: SIZE[1], : SIZE[0]]
    bar = np.abs(y - 170.0 - 0.2 * x) < 45.0
    photo = shaded(photo, bar, (0.33, 0.34, 0.36))
    ground = look_at_ground(photo, bench, predict_bed(photo, bench))
    assert ground.light.shade.left**2 == pytest.approx((0.33, 0.34, 0.36), abs=0.02)
    click = tuple(bench.to_photo(np.array([at]))[0])
    assert bar[round(click[1]), round(click[0])] == (at[1] > 0.0)
    cut = find_part(photo, bench, ground, Clicks(click), 0.0)
    rim = shapely.get_coordinates(part_polygon(cut, click).exterior)
    assert overlap(Polygon(bench.to_plane(rim)), Polygon(SHAPE.exterior)) >= 0.94


def test_colours_in_a_shadow_vary_as_both_of_them_do():
    rng = np.random.default_rng(1)
    usual, share = np.array((0.8, 0.6, 0.5)), np.array((0.6, 0.59, 0.58))
    spread, differs = (np.diag(sigma) ** 2 for sigma in ([0.01, 0.02, 0.015], [0.02, 0.01, 0.03]))
    lit = rng.multivariate_normal(usual, spread, 100_000)
    seen = lit * rng.multivariate_normal(share, differs, 100_000)
    found = Mixture(np.ones(1), usual[None], spread[None]).under(share, differs)
    assert found.means[0] == pytest.approx(seen.mean(axis=0), rel=0.01)
    deviations = np.sqrt(np.diag(found.covariances[0]))
    assert deviations == pytest.approx(seen.std(axis=0), rel=0.05)


def test_without_a_shadow_none_is_known():
    bench = grid_over(SIZE, SCALE)
    photo = picture(bench, SHAPE, face=KRAFT, bed=PALE, grid=LINES)
    assert look_at_ground(photo, bench, predict_bed(photo, bench)).light.shade is None


@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.integers(0, 10_000), st.sampled_from([0.0, 3.0, 12.0]))
def test_all_parts_are_traced_or_told_of_however_small_or_high(seed, height_mm):
    rng = np.random.default_rng(seed)
    bench = grid_over(SIZE, SCALE)
    boxes = []
    for x, y in rng.uniform(-28.0, 28.0, (6, 2)):
        width, height = rng.choice([0.6, 2.0, 9.0, 16.0], 2)
        boxes.append((box(x, y, x + width, y + height), tuple(rng.uniform(0.01, 0.8, 3))))
    photo = picture(bench, SHAPE, grid=LINES, patches=boxes, seed=seed)
    parts = []
    with suppress(FlatwrightError):
        parts = trace_all(photo, bench, height_mm=height_mm)
    assert all(part.profile.polygon(0.01).is_valid for part in parts)


@pytest.mark.parametrize(("step_px", "side"), [(1, 12), (5, 3)])
def test_what_is_too_small_for_its_edge_to_be_read_is_told(step_px, side):
    bench = grid_over(SIZE, SCALE)
    photo = picture(bench, SHAPE, grid=LINES)
    light = look_at_ground(photo, bench, predict_bed(photo, bench)).light
    blocks = Blocks(np.zeros((60, 60, 3), np.float32), step_px, (0, 0))
    part = np.zeros((60, 60), dtype=bool)
    part[20 : 20 + side, 20 : 20 + side] = True
    face = fit_mixture(np.array([[0.5, 0.5, 0.5]]), np.eye(3) * 1e-4, 1)
    with pytest.raises(TraceError, match="too small"):
        check_whole(Separation(blocks, part, face, light), (20.0, 20.0))
    check_whole(Separation(blocks, box_sum(part, 2) > 0, face, light), (20.0, 20.0))
