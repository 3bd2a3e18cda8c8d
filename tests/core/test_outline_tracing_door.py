"""Which reader a photo is given to, and what happens where one of them fails."""

import numpy as np
import pytest

from geometry.bench import bench_from_rectangle
from geometry.errors import TraceError
from geometry.outline import rectangle, tracing
from geometry.outline.curves import Loop, Profile

PIXELS = np.zeros((800, 1200, 3), dtype=np.uint8)
BENCH = bench_from_rectangle(
    (1200, 800), [(100, 600), (900, 600), (900, 200), (100, 200)], 200.0, 100.0
)


def test_without_a_grid_colours_are_read_and_where_that_fails_the_bench(monkeypatch):
    def fails(*_, **__):
        raise ValueError("zero-size array")

    monkeypatch.setattr(tracing, "trace_by_colour", fails)
    monkeypatch.setattr(tracing, "trace_by_bench", lambda *_, **asked: asked["tolerance_mm"])
    assert tracing.trace(PIXELS, BENCH, (400.0, 400.0), tolerance_mm=0.3) == 0.3


def test_what_a_reader_refuses_in_words_stays_refused(monkeypatch):
    def refuses(*_, **__):
        raise TraceError("Click on the part.")

    monkeypatch.setattr(tracing, "trace_by_colour", refuses)
    monkeypatch.setattr(tracing, "trace_by_bench", lambda *_, **__: "read all the same")
    with pytest.raises(TraceError, match="Click on the part"):
        tracing.trace(PIXELS, BENCH, (400.0, 400.0))


def test_an_outline_that_crosses_itself_is_read_again_and_its_doubts_are_forgotten(monkeypatch):
    bow = Profile(Loop.through([(0.0, 0.0), (40.0, 30.0), (40.0, 0.0), (0.0, 30.0)]))

    def crosses(*_, doubts, **__):
        doubts.append("of the crossing one")
        return bow

    doubts = []
    monkeypatch.setattr(tracing, "trace_by_colour", crosses)
    monkeypatch.setattr(tracing, "trace_by_bench", lambda *_, **__: rectangle(40.0, 30.0))
    found = tracing.trace(PIXELS, BENCH, (400.0, 400.0), doubts=doubts)
    assert found == rectangle(40.0, 30.0)
    assert doubts == []
