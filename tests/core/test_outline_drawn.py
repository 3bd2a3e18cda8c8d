"""A click in a line drawn on paper gives the middle of that line."""

import math
import re

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, box

from geometry.errors import Cancelled, TraceError
from geometry.outline import Arc, pen_width_mm, trace_drawn
from tests.core.drawn_trials import try_drawn
from tests.core.part_pictures import (
    BLACK,
    BLUE,
    DARK,
    KRAFT,
    PALE,
    WHITE,
    camera_over,
    gaps,
    picture,
)

RED, PENCIL = (0.5, 0.04, 0.05), (0.25,) * 3
DISK = Point(0, 0).buffer(16, 128)
ELL = Polygon([(-18, -14), (18, -14), (18, 0), (4, 0), (4, 15), (-18, 15)])
GREY = (0.15,) * 3
STAR = Polygon(
    [
        (
            (19 if k % 2 == 0 else 10) * math.cos(k * math.pi / 5),
            (19 if k % 2 == 0 else 10) * math.sin(k * math.pi / 5),
        )
        for k in range(10)
    ]
)
WEDGE = Polygon([(-16, -12), (18, -12), (-6, 14)]).buffer(-2.5).buffer(2.5, 64)
HALF_MOON = Point(0, 0).buffer(14, 128) - Point(0, 20).buffer(14, 128)
RING = DISK - Point(0, 0).buffer(6, 64)
ROUNDED = box(-14, -9, 14, 9).buffer(5, 64)


def drawn(
    shape,
    pen_mm=0.5,
    ink=BLACK,
    paper=WHITE,
    click=(-6, -6),
    tilt=0.0,
    turn=0.0,
    grid=None,
    gap=None,
    extra=(),
    seed=1,
):
    """Photo, bench and clicked px of a shape's rim drawn on a sheet, with a 5 mm printed grid."""
    bench = camera_over((480, 400), 8.0, tilt, turn)
    rims = [shape.exterior, *shape.interiors]
    stroke = shapely.union_all([rim.buffer(pen_mm / 2.0) for rim in rims])
    stroke = stroke if gap is None else stroke - gap
    patches = [*extra, (stroke, ink)]
    if grid is not None:
        across = [LineString([(-27, y), (27, y)]) for y in range(-20, 21, 5)]
        along = [LineString([(x, -22), (x, 22)]) for x in range(-25, 26, 5)]
        lines = shapely.union_all([line.buffer(0.08) for line in [*across, *along]])
        patches.insert(0, (lines, grid))
    sheet = box(-27, -22, 27, 22)
    pixels = picture(bench, sheet, face=paper, patches=patches, seed=seed)
    return pixels, bench, tuple(bench.to_photo(np.array([click], dtype=float))[0])


@pytest.mark.parametrize(
    ("shape", "pen_mm", "look"),
    [
        (STAR, 0.5, {"ink": BLUE, "turn": 9.0, "tilt": 12.0, "click": (0, 0)}),
        (ROUNDED, 1.4, {"ink": RED, "tilt": 20.0, "seed": 4}),
        (ELL, 0.7, {"ink": BLUE, "grid": (0.5, 0.6, 0.75), "turn": 7.0}),
        (ELL, 0.7, {"grid": (0.35, 0.4, 0.45), "paper": PALE, "seed": 2}),
        (DISK, 0.3, {"ink": PENCIL, "tilt": 15.0, "seed": 3}),
        (DISK, 0.6, {"paper": KRAFT}),
        # Rounds of a broad pen are no corners, its corners no rounds.
        (WEDGE, 1.6, {"ink": BLUE, "click": (0, 1)}),
        (HALF_MOON, 0.8, {"ink": RED, "click": (0, -2), "tilt": 8.0}),
        # Between two pen lines a printed grid makes cells with little of its own lines.
        (
            RING,
            0.7,
            {"ink": (0.15,) * 3, "paper": KRAFT, "grid": (0.27, 0.16, 0.08), "click": (9, 0)},
        ),
    ],
)
def test_the_middle_of_the_line_is_traced_and_the_pen_measured(shape, pen_mm, look):
    pixels, bench, click = drawn(shape, pen_mm, **look)
    found = trace_drawn(pixels, bench, click)
    away = gaps(found.polygon(0.001), shape)
    assert np.percentile(away, 95) <= 0.1
    assert away.max() <= 0.3
    assert pen_width_mm(pixels, bench, click) == pytest.approx(pen_mm, abs=0.1)


def test_a_drawn_circle_is_one_arc_and_its_inner_loop_a_hole():
    shape = DISK - Point(4, 3).buffer(5, 64)
    note = (LineString([(-10, -3), (-8, 1), (-6, -3)]).buffer(0.25), BLACK)
    pixels, bench, click = drawn(shape, extra=[note, (Point(-3, 9).buffer(0.7), BLACK)])
    found = trace_drawn(pixels, bench, click)
    (hole,) = found.holes
    for loop, radius in ((found.outer, 16.0), (hole, 5.0)):
        (arc,) = loop.segments
        assert isinstance(arc, Arc)
        assert arc.radius_mm == pytest.approx(radius, abs=0.05)


@pytest.mark.parametrize("click", [(16, 0), (18.5, 0)])
def test_a_click_on_or_near_the_line_finds_it(click):
    pixels, bench, place = drawn(DISK, click=click)
    assert trace_drawn(pixels, bench, place).area_mm2 == pytest.approx(math.pi * 256, rel=0.005)


def test_a_small_gap_is_closed():
    pixels, bench, click = drawn(DISK, 0.6, gap=box(10, -0.6, 20, 0.6))
    away = gaps(trace_drawn(pixels, bench, click).polygon(0.001), DISK)
    assert np.percentile(away, 95) <= 0.1
    assert away.max() <= 0.3


@pytest.mark.parametrize("half_mm", [2.5, 6.0])
def test_an_open_line_is_told_with_its_place_and_width(half_mm):
    pixels, bench, click = drawn(DISK, 0.6, gap=box(10, -half_mm, 20, half_mm))
    with pytest.raises(TraceError, match="is open for about") as told:
        trace_drawn(pixels, bench, click)
    width, x, y = map(float, re.findall(r"(\d+(?:\.\d+)?)(?= mm|,|\))", str(told.value))[:3])
    assert width == pytest.approx(2.0 * half_mm, rel=0.4)
    there = bench.to_plane(np.array([(x, y)]))[0]
    assert np.hypot(*(there - (16.0, 0.0))) < half_mm + 2.0


def test_paper_without_a_line_and_places_off_it_are_refused():
    pixels, bench, click = drawn(DISK, click=(24, 19))
    with pytest.raises(TraceError, match="No closed pen line"):
        trace_drawn(pixels, bench, click)
    with pytest.raises(TraceError, match="outside the photo"):
        trace_drawn(pixels, bench, (900.0, 20.0))
    with pytest.raises(TraceError, match="no place"):
        trace_drawn(pixels, bench, (math.nan, 20.0))
    with pytest.raises(TraceError, match="Read it with read_photo"):
        trace_drawn(pixels.astype(float), bench, (240.0, 200.0))
    even = np.full_like(pixels, 128)
    with pytest.raises(TraceError, match="No closed pen line"):
        trace_drawn(even, bench, (240.0, 200.0))


def test_the_edge_of_the_paper_is_no_pen_line():
    pixels, bench, click = drawn(
        DISK, gap=box(-30, -30, 30, 30), extra=[(Point(9, 9).buffer(1), DARK)]
    )
    with pytest.raises(TraceError, match="No closed pen line"):
        trace_drawn(pixels, bench, click)


def test_it_can_be_stopped():
    pixels, bench, click = drawn(DISK)

    def stop(fraction, message):
        if fraction > 0.3:
            raise Cancelled

    with pytest.raises(Cancelled):
        trace_drawn(pixels, bench, click, progress=stop)


def test_sketches_drawn_at_random_are_traced_along_their_middle():
    trials = [try_drawn(seed) for seed in (3, 5, 7, 9)]
    assert [trial.seed for trial in trials if not trial.is_good] == []


@pytest.mark.parametrize("ink", [BLACK, BLUE])
def test_a_broad_pen_on_dark_paper_is_as_smooth_as_on_white(ink):
    pixels, bench, click = drawn(DISK, 1.2, ink=ink, paper=KRAFT, turn=30.0)
    found = trace_drawn(pixels, bench, click)
    assert len(found.outer.segments) == 1
    assert gaps(found.polygon(0.001), DISK).max() <= 0.05
