"""Sheets and cards whose size everybody has at hand, and how well their makers keep it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ...arrays import as_points
from ...errors import BenchError
from .marked import ReferenceSize

__all__ = ["KNOWN_SIZES", "RULER_CLASSES", "KnownSize", "ruler_tolerance_mm", "uniform_sigma"]


def uniform_sigma(tolerance_mm: float, size_mm: float) -> float:
    """Standard deviation, as a fraction, of a size that is off by any amount within ± tolerance.

    JCGM 100:2008, 4.3.7: a / sqrt(3) for a uniform distribution of half-width a.
    """
    return tolerance_mm / (float(np.sqrt(3.0)) * size_mm)


@dataclass(frozen=True, slots=True)
class KnownSize:
    """A rectangle of standard size.

    ``tolerance_mm`` is how far a side may be off; any value within it is taken to be as likely.
    ``thickness_mm`` is how high its face lies; 0 for paper.
    """

    name: str
    long_mm: float
    short_mm: float
    tolerance_mm: float
    thickness_mm: float = 0.0

    def as_marked(self, corners_px: ArrayLike) -> ReferenceSize:
        """Return (first side, second side) in mm of the corners (4, 2) px marked in turn.

        The pair of sides that looks longer is the long one: no photo a bench can be found in is
        tilted so far that this fails.
        """
        corners = as_points(corners_px)
        seen = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
        first_is_long = seen[0::2].sum() >= seen[1::2].sum()
        sides = (self.long_mm, self.short_mm) if first_is_long else (self.short_mm, self.long_mm)
        return ReferenceSize(sides, uniform_sigma(self.tolerance_mm, self.long_mm))


KNOWN_SIZES = {
    # ISO 216: sizes, and ± 2 mm for sides of 150 to 600 mm.
    "A4": KnownSize("A4 Sheet", 297.0, 210.0, 2.0),
    "A3": KnownSize("A3 Sheet", 420.0, 297.0, 2.0),
    # ANSI/ASME Y14.1 size A; no tolerance is stated there, so a sheet of paper's is taken.
    "LETTER": KnownSize("US Letter Sheet", 279.4, 215.9, 2.0),
    # ISO/IEC 7810, with the limits of an unused card and its thickness (from memory).
    "ID1": KnownSize("Bank Card", 85.60, 53.98, 0.13, 0.76),
}

RULER_CLASSES = {"I": (0.1, 0.1), "II": (0.3, 0.2), "III": (0.6, 0.4)}
"""(a, b) of the greatest error a + b L in mm, L in whole metres rounded up, printed on a ruler.

Directive 2014/32/EU, annex X (MI-008), chapter I, table 1 (from memory).
"""


def ruler_tolerance_mm(length_mm: float, accuracy: str) -> float:
    """± mm that a length between two ticks of a ruler of a class may be off.

    Raises
    ------
    BenchError
        If there is no such class, or the length is none.
    """
    if accuracy not in RULER_CLASSES:
        known = ", ".join(RULER_CLASSES)
        raise BenchError(
            "There is no ruler class “{accuracy}”. Choose one of {known}.",
            accuracy=accuracy,
            known=known,
        )
    if not (np.isfinite(length_mm) and length_mm > 0.0):
        raise BenchError(
            "A ruler's length must be above 0 mm, not {length_mm:g}. Type it again.",
            length_mm=length_mm,
        )
    fixed, per_metre = RULER_CLASSES[accuracy]
    return fixed + per_metre * float(np.ceil(length_mm / 1000.0))
