"""What is kept with a value is worked out once, and gone with it."""

import gc
import tracemalloc

import numpy as np
from shapely import Point, box

from geometry.keeping import kept_with
from geometry.outline.trace import foresee_bench, trace
from tests.core.part_pictures import camera_over, picture


class Thing:
    pass


def test_work_is_done_once_for_each_value_and_again_for_another():
    asked = []

    @kept_with
    def numbered(thing):
        asked.append(thing)
        return len(asked)

    one, two = Thing(), Thing()
    assert [numbered(one), numbered(two), numbered(one)] == [1, 2, 1]


def test_what_was_found_goes_with_the_value():
    @kept_with
    def large(thing):
        return np.zeros(1_000_000)

    thing = Thing()
    tracemalloc.start()
    try:
        large(thing)
        held = tracemalloc.get_traced_memory()[0]
        del thing
        gc.collect()
        assert tracemalloc.get_traced_memory()[0] < held - 7_000_000
    finally:
        tracemalloc.stop()


def test_nothing_that_a_photo_told_is_kept_when_it_is_gone():
    bench = camera_over((640, 480), 8.0)
    shape = box(-22, -14, 22, 14) - Point(5, 2).buffer(4.0)
    tracemalloc.start()
    try:
        photo = picture(bench, shape)
        click = tuple(bench.to_photo(np.array([(-10.0, 0.0)]))[0])
        trace(photo, bench, click)
        foresee_bench(photo, bench)
        with_photo = tracemalloc.get_traced_memory()[0]
        size = photo.nbytes
        del photo
        gc.collect()
        left = tracemalloc.get_traced_memory()[0]
        assert left < with_photo - size
        assert left < 2 * size
    finally:
        tracemalloc.stop()
