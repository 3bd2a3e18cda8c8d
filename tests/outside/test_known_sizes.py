"""Sizes of sheets and cards against the standards that set them."""

import cv2
import numpy as np
import pytest

from geometry.bench.references import KNOWN_SIZES, ruler_tolerance_mm
from geometry.outline.curves import whole_sizes

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("name", "long_mm", "short_mm", "tolerance_mm"),
    [
        ("A4", 297.0, 210.0, 2.0),  # ISO 216:2007, A series; tolerance of sides 150 to 600 mm
        ("A3", 420.0, 297.0, 2.0),  # the same
        ("LETTER", 11.0 * 25.4, 8.5 * 25.4, 2.0),  # ANSI/ASME Y14.1 size A (from memory)
        ("ID1", 85.60, 53.98, 0.13),  # ISO/IEC 7810; 85.47 to 85.72 unused (from memory)
    ],
)
def test_size_is_the_standards(name, long_mm, short_mm, tolerance_mm):
    size = KNOWN_SIZES[name]
    assert (size.long_mm, size.short_mm) == pytest.approx((long_mm, short_mm))
    assert size.tolerance_mm == tolerance_mm
    # Even chances over ± t have the standard deviation t / sqrt 3 (JCGM 100:2008, 4.3.7).
    sigma_mm = size.as_marked([(0, 0), (1, 0), (1, 1), (0, 1)]).sigma * long_mm
    assert sigma_mm * 3.0**0.5 == pytest.approx(tolerance_mm)


def test_the_longer_looking_side_is_the_long_one():
    size = KNOWN_SIZES["A4"]
    upright = [(0.0, 0.0), (210.0, 10.0), (205.0, 290.0), (-3.0, 300.0)]
    assert size.as_marked(upright).sides_mm == (210.0, 297.0)
    assert size.as_marked(upright[1:] + upright[:1]).sides_mm == (297.0, 210.0)


@pytest.mark.parametrize(
    ("length_mm", "accuracy", "tolerance_mm"),
    # Directive 2014/32/EU, MI-008, chapter I: a + b L, L in whole metres up (from memory).
    [(300.0, "I", 0.2), (300.0, "II", 0.5), (1000.0, "II", 0.5), (1500.0, "II", 0.7),
     (2500.0, "III", 1.8)],
)  # fmt: skip
def test_rulers_greatest_error(length_mm, accuracy, tolerance_mm):
    assert ruler_tolerance_mm(length_mm, accuracy) == pytest.approx(tolerance_mm)


def test_sides_of_a_smallest_box_agree_with_another_library():
    # OpenCV's minAreaRect, an independent answer to the same question.
    points = np.array([(0, 0), (70, 13), (66, 41), (30, 52), (-4, 31)], dtype=np.float32)
    _, sides, _ = cv2.minAreaRect(points)
    width, height = whole_sizes(points.astype(np.float64))
    assert (width.value, height.value) == pytest.approx(sorted(sides, reverse=True), rel=1e-5)
