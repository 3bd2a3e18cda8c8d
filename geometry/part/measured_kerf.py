"""Kerf as measured: strips cut side by side, pushed together, and the gap read off.

Cutting n strips out of a known width takes n + 1 cuts, so pushing them together leaves a gap of
n + 1 kerfs; dividing by many cuts also divides the doubt of the reading.
"""

import math
from dataclasses import dataclass

from ..errors import PartError

__all__ = ["MeasuredKerf", "kerf_from_strips"]


@dataclass(frozen=True, slots=True)
class MeasuredKerf:
    """A kerf and how far off it may be (95 %)."""

    kerf_mm: float
    doubt_mm: float


def kerf_from_strips(gap_mm: float, strips: int, *, reading_mm: float = 0.05) -> MeasuredKerf:
    """Return the kerf from the gap that ``strips`` strips leave when pushed together.

    Parameters
    ----------
    reading_mm
        How far off the gap may be read (95 %): caliper, and how well the strips close up.

    Raises
    ------
    PartError
        If the gap or the doubt is no length, or there is no strip.
    """
    if not (math.isfinite(gap_mm) and gap_mm >= 0.0):
        raise PartError(
            "The gap must be 0 mm or more, not {gap_mm:g}. Measure and type it.",
            gap_mm=gap_mm,
        )
    if not (math.isfinite(reading_mm) and reading_mm >= 0.0):
        raise PartError(
            "The doubt of a reading must be 0 mm or more, not {reading_mm:g}. Type it again.",
            reading_mm=reading_mm,
        )
    if strips < 1:
        raise PartError(
            "At least one strip must be cut to measure a kerf, not {strips}. Type another number.",
            strips=strips,
        )
    cuts = strips + 1
    return MeasuredKerf(gap_mm / cuts, reading_mm / cuts)
