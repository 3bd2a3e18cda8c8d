"""Length and time of a sheet's cuts, from feed rates that were measured and no others."""

import itertools
import math

import pytest

from geometry.errors import FileError
from geometry.files import FeedRates, HoldRule, LaidSheet, duration, sheet_drawings
from geometry.outline import Line, circle, rectangle, subtract
from geometry.part import Mark, Stock

PLY = Stock("Plywood", 3.0, 0.2, sheet_mm=(400.0, 300.0))


def drawn(hold=None):
    parts = (
        subtract(rectangle(100.0, 50.0, (60.0, 40.0)), circle(20.0, (60.0, 40.0))),
        rectangle(40.0, 40.0, (200.0, 40.0)),
    )
    marks = (
        Mark((Line((20.0, 20.0), (40.0, 20.0)),), "mark"),
        Mark((Line((20.0, 60.0), (20.0, 30.0)),), "score"),
    )
    sheet = LaidSheet("s", PLY, parts, ("a", "b"), True, marks)
    (drawing,) = sheet_drawings(sheet, title="t", hold=hold or HoldRule())
    return drawing


def test_lengths_are_what_is_drawn_and_the_time_follows_from_the_rates():
    rates = FeedRates(10.0, 20.0, 50.0, 100.0, 0.5)
    found = duration(drawn(), rates)
    assert found.cut_mm == pytest.approx(300.0 + math.pi * 20.0 + 160.0)
    assert (found.score_mm, found.mark_mm, found.starts) == (30.0, 20.0, 5)
    shapes = drawn().shapes
    ways = sum(
        math.dist(a.segments[-1].end, b.segments[0].start) for a, b in itertools.pairwise(shapes)
    )
    assert found.travel_mm == pytest.approx(ways)
    assert found.seconds == pytest.approx(
        found.cut_mm / 10.0 + 30.0 / 20.0 + 20.0 / 50.0 + ways / 100.0 + 5 * 0.5
    )
    assert found.unknown == ()


def test_no_rate_is_guessed():
    found = duration(drawn(), FeedRates(10.0, travel_mm_s=100.0))
    assert found.seconds is None
    assert found.unknown == ("score", "mark")
    assert duration(drawn(), FeedRates()).unknown == ("cut", "score", "mark", "travel")
    with pytest.raises(FileError, match="0 or more"):
        FeedRates(-1.0)


def test_bridges_and_lead_ins_count_as_they_are_cut():
    plain = duration(drawn(), FeedRates())
    held = duration(drawn(HoldRule(2, 0.8, 1.0)), FeedRates())
    # Two gaps of 0.8 mm and a kerf in each outside; a lead-in for each of their halves and a hole.
    assert held.cut_mm == pytest.approx(plain.cut_mm - 4 * 1.0 + 5 * 1.0)
    assert held.starts == plain.starts + 2
