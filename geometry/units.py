"""Lengths as people type and read them; millimetres inside."""

from __future__ import annotations

import re
from fractions import Fraction

from .errors import UnitError

__all__ = ["MM_PER_UNIT", "parse_length"]

MM_PER_UNIT = {
    "µm": Fraction(1, 1000),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "thou": Fraction(254, 10_000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
}
"""Exact since the international yard of 1959: 1 in = 25.4 mm."""

SPELLINGS = {
    "um": "µm", "micron": "µm", "microns": "µm",
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "mil": "thou", "mils": "thou", "thous": "thou",
    "inch": "in", "inches": "in", '"': "in",
    "foot": "ft", "feet": "ft", "'": "ft",
}  # fmt: skip

PLAIN = str.maketrans({
    "′": "'", "’": "'", "‘": "'", "″": '"', "“": '"', "”": '"',
    "⁄": "/", "−": "-", "–": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "μ": "µ",
})  # fmt: skip
VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}

LONGEST_TEXT = 80
"""Chosen: the longest length with two fractions has forty."""
LONGEST_MM = 10**9
"""A thousand kilometres: a slip of the finger, which the sentence tells."""

AMOUNT = r"(?:\d+ +\d+ */ *\d+|\d+-\d+ */ *\d+|\d+ */ *\d+|\d+(?:[.,]\d*)?|[.,]\d+)"
TERM = re.compile(rf"\s*({AMOUNT})\s*([a-zµ]+|''|'|\")?\.?\s*")


def parse_length(text: str, default_unit: str = "mm") -> float:
    """Length in mm of a text such as "3,2 mm", "1 1/2 in" or "12 thou".

    Understands “3,2 mm”, “1 1/2 in”, “1½"”, “12 thou”, “5' 3 1/2"”, “-0.1”; a number without a
    unit is in ``default_unit``.

    Raises
    ------
    UnitError
        If the text is no length, or its comma could mean two things.
    """
    if len(text) > LONGEST_TEXT:
        raise UnitError("That is too much text for a length. Type one such as 3.2 mm.")
    plain = _plain(text)
    negative = plain.startswith("-")
    rest = plain.lstrip("+-") if plain[:1] in ("+", "-") and plain[1:2] not in ("+", "-") else plain
    if not rest:
        raise UnitError("Type a length, such as 3.2 mm or 1 1/8 in.")
    total = Fraction(0)
    last: Fraction | None = None
    at = 0
    while at < len(rest):
        found = TERM.match(rest, at)
        if found is None:
            raise UnitError(
                "“{text}” is no length. Type one such as 3.2 mm or 1 1/8 in.",
                text=text,
            )
        per_unit = _mm_per(found[2], default_unit, text)
        # 5 ft 3 in, never 3 in 5 ft and never 5 ft 3 ft: that is a slip of the finger.
        if last is not None and (per_unit >= last or not found[2]):
            raise UnitError(
                "“{text}” is not one length. Type it as 5 ft 3 in or 5.25 ft.",
                text=text,
            )
        last = per_unit
        total += _amount(found[1], text) * per_unit
        at = found.end()
    if total > LONGEST_MM:
        raise UnitError(
            "“{text}” is longer than anything that is cut. Check the number.",
            text=text,
        )
    return -float(total) if negative else float(total)


def _plain(text: str) -> str:
    for sign, fraction in VULGAR.items():
        text = text.replace(sign, f" {fraction}")
    return text.translate(PLAIN).replace("''", '"').strip().lower()


def _mm_per(unit: str | None, default_unit: str, text: str) -> Fraction:
    name = unit or default_unit
    per_unit = MM_PER_UNIT.get(SPELLINGS.get(name, name))
    if per_unit is None:
        raise UnitError(
            "“{name}” in “{text}” is no unit of length. Use mm, cm, m, in, ft or thou.",
            name=name,
            text=text,
        )
    return per_unit


def _amount(typed: str, text: str) -> Fraction:
    """Return the exact number."""
    if "/" in typed:
        *whole, fraction = re.split(r"(?<=\d)[ -]+(?=\d+ */)", typed)
        above, below = (int(part) for part in fraction.split("/"))
        if below == 0:
            raise UnitError(
                "“{text}” divides by nothing. Type a fraction such as 1/8.",
                text=text,
            )
        return Fraction(int(whole[0]) if whole else 0) + Fraction(above, below)
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", typed):
        joined, pointed = typed.replace(",", ""), typed.replace(",", ".")
        raise UnitError(
            "“{text}” could mean {joined} or {pointed}. Type one of them.",
            text=text,
            joined=joined,
            pointed=pointed,
        )
    return Fraction(typed.replace(",", ".").rstrip(".").replace(" ", ""))
