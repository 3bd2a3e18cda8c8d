"""Readings of a caliper as people type and paste them, and what their ± makes of a gap."""

import math

import numpy as np
import pytest

from geometry.assembly.measured import (
    CaliperReading,
    MeasuredSolid,
    pulled,
    read_table,
    turned_outline,
    write_table,
)
from geometry.errors import AssemblyError
from geometry.outline import rectangle


@pytest.mark.parametrize(
    ("text", "sizes"),
    [
        ("0\t60\n10\t62.5", [(0, 60), (10, 62.5)]),
        ("height; diameter\n0;60\n10;62,5", [(0, 60), (10, 62.5)]),
        ("0,60.0\n10,62.5", [(0, 60), (10, 62.5)]),
        ("0, 60\n10, 62", [(0, 60), (10, 62)]),
        ("0 60,2\n10,5 62,5", [(0, 60.2), (10.5, 62.5)]),
        ("0 mm  6 cm\n1 in  Ø 2.5 in", [(0, 60), (25.4, 63.5)]),
        ("60\n62.5", [(0, 60), (5, 62.5)]),
    ],
)
def test_tables_of_many_kinds_say_the_same(text, sizes):
    found = [(row.height_mm, row.width_mm) for row in read_table(text, step_mm=5.0)]
    assert np.allclose(found, sizes)
    assert all(row.is_round for row in read_table(text, step_mm=5.0))


def test_sections_with_two_sides_are_told_by_a_sign_or_a_third_number():
    for text in ("0 60 x 40\n10 62 × 41", "0;60;40\n10;62;41", "60x40\n62*41"):
        first, last = read_table(text, step_mm=10.0)
        assert (first.width_mm, first.depth_mm, last.height_mm, last.depth_mm) == (60, 40, 10, 41)


def test_each_number_has_its_own_doubt_or_the_usual_one():
    first, last = read_table("0 60 ± 0.1\n10 +- 0.5 62", doubt_mm=0.2)
    assert (first.height_doubt_mm, first.width_doubt_mm) == (0.2, 0.1)
    assert (last.height_doubt_mm, last.width_doubt_mm) == (0.5, 0.2)
    assert read_table(write_table((first, last))) == (first, last)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "holds no rows"),
        ("0,60\n10,62", "one number or two"),
        ("0 60\n10 62 41", "Row 2 has 3 numbers and the first has 2"),
        ("0 60\nten 62", "is not read as height and diameter"),
        ("60\n62", "Type the step"),
        ("0 60\n10 -62", "no object has"),
        ("\n".join("1 1" for _ in range(500)), "up to 400"),
    ],
)
def test_what_is_no_table_is_told_by_its_row(text, told):
    with pytest.raises(AssemblyError, match=told):
        read_table(text)


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([(0, 60)], "two rows at least"),
        ([(0, 60), (20, 60), (10, 60)], "up and down"),
        ([(5, 60), (5, 40)], "at one height"),
    ],
)
def test_readings_that_make_no_object_are_refused(rows, told):
    with pytest.raises(AssemblyError, match=told):
        MeasuredSolid.of([CaliperReading(*row) for row in rows])


def test_a_table_from_the_top_down_is_the_same_object():
    rows = read_table("0 60\n20 60\n20 40\n50 44")
    assert MeasuredSolid.of(rows) == MeasuredSolid.of(rows[::-1])


@pytest.mark.parametrize("tilt", [0.0, 0.5, math.pi / 2.0])
def test_the_doubt_of_a_gap_is_what_many_measurements_of_the_object_scatter(tilt):
    rows = read_table("0 ± 0.3\t60 ± 0.2\n50 ± 0.2\t90 ± 0.4")
    place, across = np.array([45.0, 0.0, 20.0]), np.array([math.sin(tilt), 0.0, math.cos(tilt)])
    told = MeasuredSolid.of(rows).doubt_of_gap(place, across)
    rng = np.random.default_rng(3)
    # In the plane y = 0 the gap runs along the part's own direction, square to ``across``.
    along = np.array([math.cos(tilt), -math.sin(tilt)])
    if tilt == pytest.approx(math.pi / 2.0):
        # The part is upright across the axis: the gap to the side is square to its slope.
        across, along = np.array([0.0, 1.0, 0.0]), np.array([50.0, -15.0]) / math.hypot(50, 15)
        told = MeasuredSolid.of(rows).doubt_of_gap(place, across)
    gaps = []
    for _ in range(4000):
        low, high = (
            np.array([0.5 * rng.normal(r.width_mm, r.width_doubt_mm / 1.96),
                      rng.normal(r.height_mm, r.height_doubt_mm / 1.96)]) for r in rows
        )  # fmt: skip
        side = high - low
        # Along the ray from the place towards the axis to the side.
        away = np.linalg.solve(np.column_stack((along, side)), place[[0, 2]] - low)
        gaps.append(away[0])
    assert 1.96 * np.std(gaps) == pytest.approx(told, rel=0.08)


def test_the_doubt_of_a_box_is_that_of_the_side_that_faces_the_part():
    box = MeasuredSolid.of([CaliperReading(z, 80.0, 40.0, 0.0, 0.2, 0.6) for z in (0.0, 50.0)])
    up = (0.0, 0.0, 1.0)
    assert box.doubt_of_gap((40.3, 5.0, 25.0), up) == pytest.approx(0.1 * math.sqrt(0.5))
    assert box.doubt_of_gap((5.0, -20.3, 25.0), up) == pytest.approx(0.3 * math.sqrt(0.5))


def test_the_doubt_of_a_size_is_that_of_the_rows_around_it():
    cup = MeasuredSolid.of(read_table("0 60 ± 0.1\n50 80 ± 0.3"))
    assert cup.doubt_of_size(60.0) == pytest.approx(0.1)
    assert cup.doubt_of_size(80.0) == pytest.approx(0.3)
    assert cup.doubt_of_size(100.0) is None


def test_heights_and_sides_that_leave_nothing_are_told():
    with pytest.raises(AssemblyError, match="above 0 mm"):
        pulled(rectangle(10.0, 10.0), 0.0)
    with pytest.raises(AssemblyError, match="other side"):
        turned_outline(rectangle(10.0, 10.0, (20.0, 0.0)), (0.0, 0.0), math.pi / 2.0, "left")
