"""Marked references: settled on the photo, fitted, held against each other; and the magnifier."""

import json
from dataclasses import replace

import numpy as np
import pytest

from geometry.bench import Camera, bench_from_length
from geometry.bench.magnify import magnified
from geometry.bench.references import (
    Marked,
    Settled,
    bench_from_marked,
    contradictions,
    mark_sigma_px,
    marked_from_record,
    marked_to_record,
    misfits,
    settle,
    with_mark_moved,
)
from geometry.errors import BenchError
from tests.core.ruler_pictures import ruler_picture

SIZE = (4000, 3000)
LENGTH = Marked("LENGTH", ((500.0, 500.0), (2500.0, 500.0)), (200.0,))
UPRIGHT = Marked("LENGTH", ((1000.0, 300.0), (1000.0, 2300.0)), (200.4,))
# A tenth of a millimetre in a pixel: 150 × 80 mm.
SHEET = Marked(
    "RECTANGLE",
    ((500.0, 600.0), (2000.0, 600.0), (2000.0, 1400.0), (500.0, 1400.0)),
    (150.0, 80.0),
)


def at_marks_mm(bench):
    """Standard deviation of the first length, 200 mm, at the height it lies at."""
    return bench.length_uncertainty((0.0, 0.0), (200.0, 0.0), 3.0) / 1.96


def fitted(*marked):
    return bench_from_marked(SIZE, [Settled(one) for one in marked], focal_35mm=26.0)


def test_several_lengths_give_one_scale_and_each_its_misfit():
    again = replace(LENGTH, size_mm=(200.4,))
    bench = fitted(LENGTH, again)
    (one,), (other,) = misfits(bench, LENGTH), misfits(bench, again)
    # Both are as sure, so the scale lies half-way and each is off by 0.2 of 200 mm.
    assert one.away_mm == pytest.approx(0.2, abs=2e-3)
    assert other.away_mm == pytest.approx(-0.2, abs=2e-3)


def test_rectangle_and_length_that_agree_say_nothing():
    assert contradictions(fitted(LENGTH), SHEET) == ""
    assert contradictions(fitted(SHEET), LENGTH) == ""
    assert [side.typed_mm for side in misfits(fitted(SHEET), SHEET)] == [150.0, 80.0, 150.0, 80.0]


def test_rectangle_that_disagrees_is_told_by_its_worst_side():
    wrong = Marked("RECTANGLE", SHEET.marks_px, (150.0, 90.0))
    told = contradictions(fitted(LENGTH), wrong)
    assert "90 ± " in told
    assert "80.0" in told
    # A sheet cut that roughly explains it.
    rough = Marked("RECTANGLE", SHEET.marks_px, (150.0, 90.0), size_sigma=0.08)
    assert contradictions(fitted(LENGTH), rough) == ""


def test_a_ruler_is_settled_on_its_ticks_and_those_weigh_more():
    pixels, at, _ = ruler_picture(8, px_per_mm=6.37, ticks=60, angle_deg=4.0)
    off_px = np.array([[0.8, 0.0], [-0.7, 0.3]])
    a, b = (tuple(place) for place in at(np.array([5.0, 55.0]), 2.0) + off_px)
    size = (pixels.shape[1], pixels.shape[0])
    by_hand = Marked("LENGTH", (a, b), (50.0,))
    assert settle(pixels, by_hand) == Settled(by_hand)
    settled = settle(pixels, Marked("LENGTH", (a, b), (50.0,), exact=True))
    true = at(np.array([5.0, 55.0]), 2.0)
    apart = np.hypot(*np.subtract(*settled.marked.marks_px))
    # The picture's own samples are a third of a pixel apart.
    assert apart == pytest.approx(np.hypot(*(true[1] - true[0])), abs=0.3)
    # With another length that is wrong by a hundredth the ruler's fifty ticks have the say.
    wrong = Marked("LENGTH", (a, b), (50.5,))
    bench = bench_from_marked(size, [settled, Settled(wrong)], focal_35mm=250.0)
    assert misfits(bench, settled.marked)[0].away_mm == pytest.approx(0.0, abs=0.2)


def test_one_marked_length_is_the_bench_of_a_length():
    doubted = Marked("LENGTH", LENGTH.marks_px, (200.0,), height_mm=3.0, size_sigma=0.01)
    plain = bench_from_length(
        SIZE, *LENGTH.marks_px, 200.0, focal_35mm=26.0, reference_height_mm=3.0
    )
    bench = fitted(doubted)
    assert misfits(bench, doubted)[0].away_mm == pytest.approx(0.0, abs=1e-9)
    added = at_marks_mm(bench) ** 2 - at_marks_mm(plain) ** 2
    assert added == pytest.approx((0.01 * 200.0) ** 2, rel=1e-3)


@pytest.mark.parametrize(
    ("marked", "words"),
    [
        ([], "Nothing was marked"),
        ([Marked("CIRCLE", SHEET.marks_px, (200.0,))], "no kind of reference"),
        ([Marked("LENGTH", SHEET.marks_px, (200.0,))], "two ends"),
    ],
)
def test_what_cannot_be_fitted_is_refused(marked, words):
    with pytest.raises(BenchError, match=words):
        fitted(*marked)


def test_the_magnifier_shows_whole_pixels_around_the_place():
    pixels = np.arange(5 * 7 * 3, dtype=np.uint8).reshape(5, 7, 3)
    shown = magnified(pixels, (3.0, 2.0), 12, 4.0)
    np.testing.assert_array_equal(shown[4:8, 4:8].reshape(-1, 3), np.tile(pixels[2, 3], (16, 1)))
    np.testing.assert_array_equal(shown[0, 0], pixels[1, 2])
    # A quarter of a pixel to the right moves the inset by one of its own to the left.
    moved = magnified(pixels, (3.25, 2.0), 12, 4.0)
    np.testing.assert_array_equal(moved[:, :-1], shown[:, 1:])


def test_the_magnifier_turns_with_the_view_and_ends_with_the_photo():
    pixels = np.arange(5 * 7 * 3, dtype=np.uint8).reshape(5, 7, 3)
    # Upside down: a step right goes left in the photo, a step down goes up.
    shown = magnified(pixels, (3.0, 2.0), 3, 1.0, ((-1.0, 0.0), (0.0, -1.0)))
    np.testing.assert_array_equal(shown, pixels[1:4, 2:5][::-1, ::-1])
    beside = magnified(pixels, (0.0, 0.0), 3, 1.0)
    assert (beside[0] == beside[0, 0]).all()
    np.testing.assert_array_equal(beside[1:, 1:], pixels[:2, :2])


def test_marks_are_kept_to_the_last_bit():
    odd = Marked("RECTANGLE", ((0.1, 1 / 3), (9.7, 0.0), (9.0, 8.0), (0.0, 7.0)), (25.4, 1 / 7))
    assert marked_from_record(marked_to_record(odd)) == odd
    assert "doubt" in json.loads(marked_to_record(odd))
    with pytest.raises(BenchError, match="damaged"):
        marked_from_record('{"kind": "LENGTH"}')
    unknown = marked_to_record(odd).replace("RECTANGLE", "HEXAGON")
    with pytest.raises(BenchError, match="HEXAGON"):
        marked_from_record(unknown)


def test_a_sheet_and_a_length_on_a_block_give_one_camera():
    """Each with its own height, seen by a camera 400 mm over the bench, tilted by 8 degrees."""
    c, s = np.cos(np.radians(8.0)), np.sin(np.radians(8.0))
    rotation = np.array([[1, 0, 0], [0, c, -s], [0, s, c]]) @ np.diag([1.0, -1.0, -1.0])
    camera = Camera(3005.0, (1999.5, 1499.5), 0.0, 0.0, rotation, np.array([0.0, 0.0, 400.0]))

    def seen(places, height_mm=0.0):
        return tuple(map(tuple, camera.project(np.array(places, dtype=float), height_mm)))

    card = [(-150, -100), (-64.4, -100), (-64.4, -46.02), (-150, -46.02)]
    sheet = Marked("RECTANGLE", seen(card), (85.6, 53.98))
    block = Marked("LENGTH", seen([(60, 80), (160, 80)], 20.0), (100.0,), height_mm=20.0)
    alone, both = fitted(sheet), fitted(sheet, block)
    far = camera.project(np.array([[50.0, 20.0], [150.0, 100.0]]))
    uncertain = []
    for bench in (alone, both):
        a, b = bench.to_plane(far)
        uncertain.append(bench.length_uncertainty(a, b))
        assert abs(np.hypot(*(b - a)) - np.hypot(100.0, 80.0)) < max(uncertain[-1], 0.05)
    assert uncertain[1] < 0.7 * uncertain[0]


def test_marks_set_without_zooming_in_leave_more_doubt():
    # Half a pixel of hand and blur, and a step of 6 px as likely anywhere within: 6 / sqrt(12).
    assert mark_sigma_px(0.0) == 0.5
    assert mark_sigma_px(6.0) ** 2 == pytest.approx(0.25 + 3.0)
    rough = Marked("LENGTH", LENGTH.marks_px, (200.0,), marked_px=2.0)
    # Two marks, 2000 px apart: the variances of 2 px and of 0.5 px.
    rough_mm, fine_mm = (
        fitted(one).length_uncertainty((0.0, 0.0), (200.0, 0.0)) / 1.96 for one in (rough, LENGTH)
    )
    added = rough_mm**2 - fine_mm**2
    assert added == pytest.approx(2.0 * (4.0 - 0.25) / 2000.0**2 * 200.0**2, rel=1e-3)
    coarse = Marked("RECTANGLE", SHEET.marks_px, SHEET.size_mm, marked_px=2.0)
    # The lens is as unsure either way, so the marks do not make it four times as much.
    fine_100, coarse_100 = (
        fitted(one).expanded_uncertainty_per_100_mm() for one in (SHEET, coarse)
    )
    assert coarse_100 > 1.3 * fine_100
    # What a zoomed-in mark contradicts, one set from afar does not.
    near = Marked("LENGTH", UPRIGHT.marks_px, (199.6,))
    far = Marked("LENGTH", UPRIGHT.marks_px, (199.6,), marked_px=2.5)
    # (The bench is asked for as one sure of itself.)
    sure = replace(fitted(LENGTH), covariance=None)
    assert contradictions(sure, far) == ""
    assert "199.6" in contradictions(sure, near)


def test_a_moved_mark_keeps_the_others():
    both, which = with_mark_moved([LENGTH, SHEET], 4, (2001.0, 1402.0), 2.0)
    assert which == 1
    assert both[0] == LENGTH
    assert both[1].marks_px == (*SHEET.marks_px[:2], (2001.0, 1402.0), SHEET.marks_px[3])
    assert both[1].marked_px ** 2 == pytest.approx((3 * 0.25 + 4.0) / 4)
    with pytest.raises(BenchError, match="no mark 6"):
        with_mark_moved([LENGTH, SHEET], 6, (0.0, 0.0), 0.5)
