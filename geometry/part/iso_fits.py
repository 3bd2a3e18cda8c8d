"""Nominal fits by ISO 286, to compare a fit with; and general tolerances by ISO 2768-1.

Both are written for machined parts. Cut wood and card do not hold them, and whatever is shown from
here says so.
"""

import math
from bisect import bisect_left
from dataclasses import dataclass
from typing import Literal

from ..errors import PartError

__all__ = [
    "ISO_CAVEAT",
    "ToleranceClass",
    "general_tolerance",
    "iso_286_classes",
    "iso_286_grade",
    "iso_286_limits",
    "iso_fit",
]

ISO_CAVEAT = (
    "These limits are for machined parts: a laser or router repeats wood, card and acrylic to "
    "about ±0.05 to ±0.1 mm only, so they are here to compare with, not to order by."
)

SIZES_MM = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0)
"""Each range is above one and up to and including the next."""

GRADES_UM: dict[str, tuple[float, ...]] = {
    "IT5": (5, 6, 8, 9, 11, 13, 15, 18, 20),
    "IT6": (8, 9, 11, 13, 16, 19, 22, 25, 29),
    "IT7": (12, 15, 18, 21, 25, 30, 35, 40, 46),
    "IT8": (18, 22, 27, 33, 39, 46, 54, 63, 72),
    "IT9": (30, 36, 43, 52, 62, 74, 87, 100, 115),
    "IT10": (48, 58, 70, 84, 100, 120, 140, 160, 185),
    "IT11": (75, 90, 110, 130, 160, 190, 220, 250, 290),
}
"""Standard tolerances, ISO 286-1."""

LOWER_UM: dict[str, tuple[float, ...]] = {
    "H7": (0, 0, 0, 0, 0, 0, 0, 0, 0),
    "H8": (0, 0, 0, 0, 0, 0, 0, 0, 0),
    "g6": (-12, -14, -17, -20, -25, -29, -34, -39, -44),
    "h6": (-8, -9, -11, -13, -16, -19, -22, -25, -29),
    "js6": (-4, -4.5, -5.5, -6.5, -8, -9.5, -11, -12.5, -14.5),
    "k6": (1, 1, 1, 2, 2, 2, 3, 3, 4),
    "n6": (8, 10, 12, 15, 17, 20, 23, 27, 31),
    "p6": (12, 15, 18, 22, 26, 32, 37, 43, 50),
    "f7": (-22, -28, -34, -41, -50, -60, -71, -83, -96),
}
"""Lower limit deviations, ISO 286-2; the upper ones lie the grade above."""

_LINEAR_MM = (0.5, 3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0)
"""ISO 2768-1, table 1."""
_GENERAL_MM: dict[str, tuple[float | None, ...]] = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, None),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0),
    "v": (None, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0),
}
ToleranceClass = Literal["f", "m", "c", "v"]


@dataclass(frozen=True, slots=True)
class IsoFit:
    """A hole and a shaft of one nominal size: least and greatest clearance (below 0: overlap)."""

    hole: str
    shaft: str
    nominal_mm: float
    least_um: float
    greatest_um: float

    @property
    def kind(self) -> Literal["clearance", "transition", "interference"]:
        """Which of the three kinds of fit the limits of both make (ISO 286-1)."""
        if self.least_um >= 0.0:
            return "clearance"
        return "interference" if self.greatest_um <= 0.0 else "transition"

    @property
    def sentence(self) -> str:
        """The fit in words, and what it is worth here."""
        return (
            f"{self.hole}/{self.shaft} at {self.nominal_mm:g} mm is a {self.kind} fit: clearance "
            f"{self.least_um / 1e3:+.4g} to {self.greatest_um / 1e3:+.4g} mm. {ISO_CAVEAT}"
        )


def iso_286_classes() -> tuple[str, ...]:
    """Return the tolerance classes that are known here; holes have a capital letter."""
    return tuple(LOWER_UM)


def iso_286_grade(nominal_mm: float, grade: str) -> float:
    """Return a standard tolerance such as "IT7" in µm.

    Raises
    ------
    PartError
        If the size is outside 3 to 250 mm or the grade is not one of IT5 to IT11.
    """
    if grade not in GRADES_UM:
        raise PartError(
            "“{grade}” is not among {names}. Choose one of them.",
            grade=grade,
            names=", ".join(GRADES_UM),
        )
    return float(GRADES_UM[grade][_range(nominal_mm)])


def iso_286_limits(nominal_mm: float, tolerance_class: str) -> tuple[float, float]:
    """Return (lower, upper) limit deviations of a class such as "H7" in µm.

    Raises
    ------
    PartError
        If the size is outside 3 to 250 mm or the class is not known here.
    """
    if tolerance_class not in LOWER_UM:
        raise PartError(
            "The tolerance class “{tolerance_class}” is not among {names}. Choose one of them.",
            tolerance_class=tolerance_class,
            names=", ".join(LOWER_UM),
        )
    size = _range(nominal_mm)
    lower = LOWER_UM[tolerance_class][size]
    return float(lower), float(lower + GRADES_UM[f"IT{tolerance_class[-1]}"][size])


def iso_fit(nominal_mm: float, hole: str = "H7", shaft: str = "h6") -> IsoFit:
    """Return how a hole and a shaft of one nominal size fit.

    Parameters
    ----------
    nominal_mm
        Of both.
    hole, shaft
        Their tolerance classes, such as "H7" and "g6".

    Raises
    ------
    PartError
        As `iso_286_limits`, or if the two are no hole and no shaft.
    """
    if not (hole[:1].isupper() and shaft[:1].islower()):
        raise PartError(
            "A fit is a hole such as H7 and a shaft such as g6, not “{hole}” and “{shaft}”. "
            "Choose one of each.",
            hole=hole,
            shaft=shaft,
        )
    hole_low, hole_high = iso_286_limits(nominal_mm, hole)
    shaft_low, shaft_high = iso_286_limits(nominal_mm, shaft)
    return IsoFit(hole, shaft, nominal_mm, hole_low - shaft_high, hole_high - shaft_low)


def general_tolerance(size_mm: float, tolerance_class: ToleranceClass = "m") -> float:
    """Return the general tolerance (±, mm) of a linear size by ISO 2768-1.

    Raises
    ------
    PartError
        If the class is none of f, m, c and v, or has no value for the size.
    """
    if tolerance_class not in _GENERAL_MM:
        raise PartError(
            "The class is {names}, not “{tolerance_class}”. Choose one of them.",
            names=", ".join(_GENERAL_MM),
            tolerance_class=tolerance_class,
        )
    at = bisect_left(_LINEAR_MM, size_mm) - 1 if math.isfinite(size_mm) else -1
    # The first range includes its lower end.
    at = 0 if size_mm == _LINEAR_MM[0] else at
    row = _GENERAL_MM[tolerance_class]
    value = row[at] if 0 <= at < len(row) else None
    if value is None:
        raise PartError(
            "Class {tolerance_class} says nothing of {size_mm:g} mm. State the tolerance itself.",
            tolerance_class=tolerance_class,
            size_mm=size_mm,
        )
    return value


def _range(nominal_mm: float) -> int:
    if not (math.isfinite(nominal_mm) and SIZES_MM[0] < nominal_mm <= SIZES_MM[-1]):
        raise PartError(
            "The tables here go from above {SIZES_MM_x:g} to {sizes_mm:g} mm, not to "
            "{nominal_mm:g}. Type another number.",
            SIZES_MM_x=SIZES_MM[0],
            sizes_mm=SIZES_MM[-1],
            nominal_mm=nominal_mm,
        )
    return bisect_left(SIZES_MM, nominal_mm) - 1
