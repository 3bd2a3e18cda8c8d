"""Rendered photos of things whose size is known: a bowed ruler, a stretched print, two prints.

Drawn by `scripts/render_scale.py`, which says where ticks and places are seen.
"""

import json
from pathlib import Path

import numpy as np
import pytest

from geometry.bench import (
    KnownMat,
    bench_from_grid,
    bench_from_length,
    lock_on_ruler,
    warnings_at,
)
from geometry.photo import read_photo

PHOTOS = Path(__file__).resolve().parents[1] / "data" / "known_sizes"
RULER_THICK_MM = 2.0


def photo_and_truth(name):
    return read_photo(PHOTOS / f"{name}.jpg"), json.loads((PHOTOS / f"{name}.json").read_text())


@pytest.fixture(scope="module")
def ruler():
    return photo_and_truth("bowed_ruler")


def bench_of_ruler(ruler, start_mm, end_mm):
    photo, truth = ruler
    at = dict(zip(truth["ticks_mm"], truth["ticks_px"], strict=True))
    a, b, length_mm = at[start_mm], at[end_mm], float(end_mm - start_mm)
    return bench_from_length(
        photo.size_px,
        a,
        b,
        length_mm,
        focal_35mm=truth["focal_35mm"],
        ticks=lock_on_ruler(photo.pixels, a, b, length_mm),
        reference_height_mm=RULER_THICK_MM,
    )


def read_on_ruler(ruler, bench, start_mm, end_mm):
    """Length and its stated ±, mm."""
    at = dict(zip(ruler[1]["ticks_mm"], ruler[1]["ticks_px"], strict=True))
    a, b = bench.to_plane([at[start_mm], at[end_mm]], RULER_THICK_MM)
    return float(np.hypot(*(b - a))), bench.length_uncertainty(a, b, RULER_THICK_MM)


def test_two_stretches_of_a_bowed_ruler_agree_within_what_they_state(ruler):
    """A ruler bowed by a millimetre under a wide lens; each stretch reads the same lengths."""
    first, second = (bench_of_ruler(ruler, *ends) for ends in ((30, 130), (180, 280)))
    for ends in ((50, 90), (0, 100), (150, 190), (200, 300), (230, 270), (100, 200), (0, 300)):
        one, other = (read_on_ruler(ruler, bench, *ends) for bench in (first, second))
        true = float(ends[1] - ends[0])
        print(ends, one, other)
        assert abs(one[0] - true) <= one[1]
        assert abs(other[0] - true) <= other[1]
        assert abs(one[0] - other[0]) <= np.hypot(one[1], other[1])
    # What lies on the stretch itself is known well all the same.
    assert read_on_ruler(ruler, first, 50, 90)[1] < 0.6


def off_140(bench, sheet):
    """How far 140 mm along and up the sheet are off, mm."""
    a, b, c, d = bench.to_plane(sheet["ends_140_px"])
    return [abs(float(np.hypot(*ends)) - 140.0) for ends in (b - a, d - c)]


def test_a_stretched_print_gives_140_mm_both_ways_after_two_typed_lengths():
    photo, truth = photo_and_truth("stretched_print")
    (sheet,) = truth["sheets"]
    mat = KnownMat.measured("A4", tuple(sheet["lines_mm"]))
    bench = bench_from_grid(photo.pixels, 10.0, focal_35mm=truth["focal_35mm"], mat=mat)
    assert max(off_140(bench, sheet)) < 0.05
    assert bench.report.squares_seen == (27, 18)
    assert not bench.report.other_sheets
    plain = bench_from_grid(photo.pixels, 10.0, focal_35mm=truth["focal_35mm"])
    assert off_140(plain, sheet)[0] > 0.9
    # Nobody has measured it: it is told for what it is, and its ± holds what a printer does.
    a, b = plain.to_plane(sheet["ends_140_px"][:2])
    assert off_140(plain, sheet)[0] < plain.length_uncertainty(a, b)
    assert any("press Keep Bench" in warning for warning in plain.report.warnings)
    assert not any("press Keep Bench" in warning for warning in bench.report.warnings)
    # That is the reason for the large ±; another photo would not make it less.
    assert not any("Show more of the mat" in warning for warning in warnings_at(plain, 0.0))


@pytest.mark.parametrize("which", [0, 1])
def test_each_of_two_prints_that_lie_apart_is_measured_by_its_own_lines(which):
    photo, truth = photo_and_truth("two_prints")
    sheet, other = truth["sheets"][which], truth["sheets"][1 - which]
    mat = KnownMat.measured(sheet["paper"], tuple(sheet["lines_mm"]))
    bench = bench_from_grid(
        photo.pixels, 10.0, focal_35mm=truth["focal_35mm"], mat=mat,
        sheet_px=tuple(sheet["middle_px"]),
    )  # fmt: skip
    assert max(off_140(bench, sheet)) < 0.05
    (place,) = bench.report.other_sheets
    assert np.hypot(*np.subtract(place, other["middle_px"])) < 60.0
    assert any("Use Other Sheet" in warning for warning in bench.report.warnings)
