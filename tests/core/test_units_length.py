"""Lengths as people type them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import UnitError
from geometry.units import MM_PER_UNIT, parse_length

# 1 in = 25.4 mm and 1 ft = 304.8 mm exactly (international yard and pound agreement of 1959).
TYPED = [
    ("3.2", 3.2), ("3,2 mm", 3.2), ("3.2mm", 3.2), ("  3 mm ", 3.0), (".5", 0.5), (",5 cm", 5.0),
    ("1 1/2 in", 38.1), ("1-1/2 in", 38.1), ("1 1/2\"", 38.1), ("1½ in", 38.1), ("1½″", 38.1),
    ("1/8 in", 3.175), ("12 thou", 0.3048), ("12 mil", 0.3048), ("5'", 1524.0),
    ("5' 3\"", 1600.2), ("5 ft 3 1/2 in", 1612.9), ("5'3''", 1600.2), ("2 inches", 50.8),
    ("0.5 m", 500.0), ("250 µm", 0.25), ("250 um", 0.25), ("-0.1", -0.1), ("−0,1 mm", -0.1),
    ("+4", 4.0), ("3.", 3.0), ("3 mm.", 3.0), ("0", 0.0), ("0,125 in", 3.175),
    ("1 m 20 cm", 1200.0),
]  # fmt: skip


@pytest.mark.parametrize(("text", "length_mm"), TYPED)
def test_typed_lengths(text, length_mm):
    assert parse_length(text) == pytest.approx(length_mm, abs=1e-12)


def test_a_bare_number_is_in_the_unit_shown():
    assert parse_length("2", "in") == pytest.approx(50.8)
    assert parse_length("2 mm", "in") == 2.0


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "Type a length"), ("   ", "Type a length"), ("-", "Type a length"),
        ("abc", "is no length"), ("3 furlongs", "no unit"), ("1/0 in", "divides by nothing"),
        ("1,200", "could mean 1200 or 1.200"), ("1.2.3", "not one length"), ("nan", "no length"),
        ("inf", "no length"), ("3 in 5 ft", "not one length"), ("5 ft 3 ft", "not one length"),
        ("3 4", "not one length"), ("1e400 mm", "no unit"), ("9" * 40, "longer than anything"),
        ("9" * 9000, "too much text"), ("--3", "no length"), ("3*4", "no length"),
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_in_words(text, message):
    with pytest.raises(UnitError, match=message):
        parse_length(text)


@given(st.floats(-10.0, 10.0), st.sampled_from(["mm", "cm", "m", "in", "ft", "thou", "µm"]))
def test_a_number_with_a_unit_is_that_many_of_it(number, unit):
    typed = f"{number:.6f} {unit}"
    assert parse_length(typed) == pytest.approx(float(f"{number:.6f}") * MM_PER_UNIT[unit])


@given(st.text(max_size=12))
def test_any_text_is_a_length_or_a_unit_error(text):
    try:
        length_mm = parse_length(text)
    except UnitError:
        return
    assert math.isfinite(length_mm)
