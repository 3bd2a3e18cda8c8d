"""A click on an open pen line gives the middle of that line, from end to end."""

import math

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, box

from geometry.outline import Arc, Line, trace_open_line
from tests.core.part_pictures import BLACK, BLUE, KRAFT, PALE, WHITE, camera_over, picture

STRAIGHT = LineString([(-18, -6), (17, 5)])
BENT = LineString([(-18, -10), (-4, 9), (17, 9), (17, -2)])
WAVE = LineString([(x, 7 * math.sin(x / 6.0)) for x in np.arange(-20, 20.1, 0.25)])
HALF = LineString(
    [(14 * math.cos(a), 14 * math.sin(a) - 5) for a in np.linspace(0.1, math.pi - 0.1, 160)]
)


def drawn(line, pen_mm=0.5, ink=BLACK, paper=WHITE, tilt=0.0, turn=0.0, extra=(), at=0.5, seed=1):
    """Photo, bench and clicked px of a line drawn with a round pen on a sheet."""
    bench = camera_over((480, 400), 8.0, tilt, turn)
    patches = [*extra, (line.buffer(pen_mm / 2.0), ink)]
    sheet = box(-27, -22, 27, 22)
    pixels = picture(bench, sheet, face=paper, patches=patches, seed=seed)
    click = line.interpolate(at, normalized=True)
    return pixels, bench, tuple(bench.to_photo(np.array([[click.x, click.y]]))[0])


def found_line(chain):
    places = np.vstack([*(s.flatten(1e-3) for s in chain), chain[-1].end])
    return LineString(places)


def off(found, line):
    """(N,) mm between both lines, both ways, along their whole lengths."""
    return np.array(
        [
            one.interpolate(t, normalized=True).distance(other)
            for one, other in ((found, line), (line, found))
            for t in np.linspace(0.0, 1.0, 400)
        ]
    )


@pytest.mark.parametrize(
    ("line", "pen_mm", "look"),
    [
        (STRAIGHT, 0.5, {}),
        (STRAIGHT, 1.2, {"ink": BLUE, "paper": KRAFT, "at": 0.1, "turn": 30.0}),
        (BENT, 0.5, {"ink": BLUE, "tilt": 15.0}),
        (BENT, 0.9, {"paper": PALE, "turn": 200.0, "at": 0.9}),
        (WAVE, 0.6, {"tilt": 12.0, "seed": 4}),
        (HALF, 0.4, {"ink": (0.25,) * 3, "seed": 3}),
        (HALF, 1.6, {"ink": BLUE, "turn": 70.0}),
    ],
)
def test_its_middle_is_traced_and_both_ends_are_found(line, pen_mm, look):
    pixels, bench, click = drawn(line, pen_mm, **look)
    found = found_line(trace_open_line(pixels, bench, click))
    away = off(found, line)
    assert np.percentile(away, 95) <= 0.1
    assert away.max() <= 0.3
    assert found.length == pytest.approx(line.length, abs=0.5)


def test_a_straight_line_is_one_line_and_half_a_circle_one_arc():
    (segment,) = trace_open_line(*drawn(STRAIGHT, 0.5))
    assert isinstance(segment, Line)
    (segment,) = trace_open_line(*drawn(HALF, 0.5))
    assert isinstance(segment, Arc)
    assert segment.radius_mm == pytest.approx(14.0, abs=0.05)


def test_what_crosses_it_or_lies_beside_it_is_passed_by():
    across = LineString([(-6, 20), (4, -20)]).buffer(0.3)
    beside = LineString([(-18, -11), (17, 0)]).buffer(0.3)
    extra = [(shapely.union_all([across, beside]), BLACK)]
    found = found_line(trace_open_line(*drawn(STRAIGHT, 0.5, extra=extra, at=0.2)))
    assert off(found, STRAIGHT).max() <= 0.3


def test_the_edge_of_the_paper_and_a_closed_line_are_no_open_ones():
    disc = Point(0, 0).buffer(14, 128).exterior
    assert trace_open_line(*drawn(disc, 0.5)) is None
    square = box(-12, -12, 12, 12).exterior
    assert trace_open_line(*drawn(square, 0.7, tilt=10.0)) is None
    pixels, bench, _ = drawn(STRAIGHT, 0.5)
    for place in ((10.0, -15.0), (27.0, 0.0)):
        click = tuple(bench.to_photo(np.array([place]))[0])
        assert trace_open_line(pixels, bench, click) is None


def test_a_gap_of_a_pen_that_skipped_is_crossed():
    line = LineString([(-18, 0), (18, 0)])
    bench = camera_over((480, 400), 8.0)
    ink = line.buffer(0.3) - box(4.0, -1.0, 5.0, 1.0)
    pixels = picture(bench, box(-27, -22, 27, 22), face=WHITE, patches=[(ink, BLACK)])
    click = tuple(bench.to_photo(np.array([(-5.0, 0.0)]))[0])
    found = found_line(trace_open_line(pixels, bench, click))
    assert found.length == pytest.approx(36.0, abs=0.5)
