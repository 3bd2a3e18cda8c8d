"""Sizes and marks are checked before anything is computed from them."""

import numpy as np
from numpy.typing import ArrayLike

from ...arrays import Points, as_points
from ...errors import BenchError
from ...sentences import Sentence

__all__ = ["MARK_CORNERS", "MARK_ENDS", "check_height", "check_length", "checked_marks"]

MARK_CORNERS = Sentence("Mark the rectangle's four corners.")
MARK_ENDS = Sentence("Mark both ends of the known length.")

LONGEST_MM, FARTHEST_PX = 1e5, 1e6
"""No bench is a hundred metres long, and no mark is set so far outside of a photo."""
SHORTEST_MM = 1e-3
"""A micrometre: what is typed smaller is a slip."""


def checked_marks(marks_px: ArrayLike, least: int, most: int, advice: Sentence) -> Points:
    """(N, 2) px of marks; refuse what are no places or not as many as are needed.

    Parameters
    ----------
    marks_px
        What was given.
    least, most
        How many marks there may be.
    advice
        What to do, as the sentence's end.

    Raises
    ------
    BenchError
        If they are not such.
    """
    try:
        marks = as_points(np.asarray(marks_px, dtype=np.float64))
    except ValueError as error:
        raise BenchError(
            "The marks are no places in the photo. {advice}",
            advice=advice,
        ) from error
    if not least <= len(marks) <= most:
        raise BenchError(
            "{marks_count} marks were given where {count} are needed. {advice}",
            marks_count=len(marks),
            count=least,
            advice=advice,
        )
    if np.abs(marks).max(initial=0.0) > FARTHEST_PX:
        raise BenchError("A mark lies far outside of the photo. {advice}", advice=advice)
    return marks


def check_length(what: Sentence, length_mm: float) -> None:
    """Refuse a size, mm, that is 0 or beyond any bench; ``what`` names it in the error."""
    if not SHORTEST_MM <= length_mm <= LONGEST_MM:
        raise BenchError(
            "The {what} must be above 0 mm and no more than 100 m, not {length_mm:g} mm. Type it "
            "again.",
            what=what,
            length_mm=length_mm,
        )


def check_height(height_mm: float) -> None:
    """Refuse a height over the bench, mm, that is no number or beyond any bench."""
    if not abs(height_mm) <= LONGEST_MM:
        raise BenchError(
            "The reference's height over the bench is {height_mm:g} mm. Type it again.",
            height_mm=height_mm,
        )
