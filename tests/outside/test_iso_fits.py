"""Tolerance tables against the standards' formula and published rows.

ISO 286-1: i = 0.45 D^(1/3) + 0.001 D with D the geometric mean of the range in mm, and IT5 to IT11
are 7, 10, 16, 25, 40, 64, 100 times i before the standard's rounding (from memory, and worked for
>18-30: D 23.238, i 1.3074). ISO 286-2:2010 rows as PyPI isofits 1.0 (MIT) prints them. ISO
2768-1:1989 table 1 as printed in a DIN ISO 2768-1 sheet and two other pages.
"""

import itertools
import math

import pytest

from geometry.errors import PartError
from geometry.part.iso_fits import (
    general_tolerance,
    iso_286_classes,
    iso_286_grade,
    iso_286_limits,
    iso_fit,
)

pytestmark = pytest.mark.outside

RANGES = [3, 6, 10, 18, 30, 50, 80, 120, 180, 250]
TIMES = {"IT5": 7, "IT6": 10, "IT7": 16, "IT8": 25, "IT9": 40, "IT10": 64, "IT11": 100}


@pytest.mark.parametrize("grade", TIMES)
def test_grades_follow_the_standards_formula(grade):
    for low, high in itertools.pairwise(RANGES):
        mean = math.sqrt(low * high)
        wanted = TIMES[grade] * (0.45 * mean ** (1 / 3) + 0.001 * mean)
        # Rounded to whole micrometres, above 100 to steps of five and ten.
        assert iso_286_grade(high, grade) == pytest.approx(wanted, rel=0.085, abs=0.9)
        assert iso_286_grade(low + 0.001, grade) == iso_286_grade(high, grade)


@pytest.mark.parametrize(
    ("nominal", "tolerance_class", "lower", "upper"),
    [
        (5.0, "H7", 0, 12), (20.0, "H7", 0, 21), (120.0, "H7", 0, 35), (250.0, "H7", 0, 46),
        (20.0, "H8", 0, 33), (100.0, "H8", 0, 54), (20.0, "g6", -20, -7), (200.0, "g6", -44, -15),
        (60.0, "h6", -19, 0), (10.0, "js6", -4.5, 4.5), (160.0, "js6", -12.5, 12.5),
        (20.0, "k6", 2, 15), (200.0, "k6", 4, 33), (40.0, "n6", 17, 33), (5.0, "p6", 12, 20),
        (20.0, "p6", 22, 35), (90.0, "p6", 37, 59), (8.0, "f7", -28, -13), (250.0, "f7", -96, -50),
    ],
)  # fmt: skip
def test_limit_deviations(nominal, tolerance_class, lower, upper):
    assert iso_286_limits(nominal, tolerance_class) == (lower, upper)


@pytest.mark.parametrize(
    ("shaft", "least", "greatest", "kind"),
    # Worked from the rows above for 20 mm.
    [
        ("g6", 7, 41, "clearance"),
        ("h6", 0, 34, "clearance"),
        ("k6", -15, 19, "transition"),
        ("p6", -35, -1, "interference"),
    ],
)
def test_fits_of_20_mm(shaft, least, greatest, kind):
    fit = iso_fit(20.0, "H7", shaft)
    assert (fit.least_um, fit.greatest_um, fit.kind) == (least, greatest, kind)
    assert "laser or router repeats wood" in fit.sentence


def test_range_ends_belong_below():
    assert iso_286_limits(30.0, "H7") == (0, 21)
    assert iso_286_limits(30.001, "H7") == (0, 25)


@pytest.mark.parametrize(
    ("size", "row"),
    [
        (0.5, (0.05, 0.1, 0.2, None)), (3.0, (0.05, 0.1, 0.2, None)), (5.0, (0.05, 0.1, 0.3, 0.5)),
        (30.0, (0.1, 0.2, 0.5, 1.0)), (100.0, (0.15, 0.3, 0.8, 1.5)), (300.0, (0.2, 0.5, 1.2, 2.5)),
        (700.0, (0.3, 0.8, 2.0, 4.0)), (1500.0, (0.5, 1.2, 3.0, 6.0)), (3000.0, (None, 2, 4, 8)),
    ],
)  # fmt: skip
def test_general_tolerances(size, row):
    for letter, wanted in zip("fmcv", row, strict=True):
        if wanted is None:
            with pytest.raises(PartError, match="says nothing"):
                general_tolerance(size, letter)
        else:
            assert general_tolerance(size, letter) == wanted


def test_sizes_and_classes_outside_the_tables_are_refused():
    for size in (3.0, 250.1, -1.0, math.nan):
        with pytest.raises(PartError, match="tables here go from"):
            iso_286_limits(size, "H7")
    with pytest.raises(PartError, match="not among"):
        iso_286_limits(20.0, "H6")
    with pytest.raises(PartError, match="a hole such as"):
        iso_fit(20.0, "h6", "H7")
    with pytest.raises(PartError, match="says nothing"):
        general_tolerance(math.nan)
    assert len(iso_286_classes()) == 9
