"""References as people mark them: what of known size, where in the photo, how surely."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ...errors import BenchError

__all__ = [
    "MARKED_PX",
    "Marked",
    "Misfit",
    "ReferenceSize",
    "Settled",
    "mark_sigma_px",
    "with_mark_moved",
]

MARKED_PX = 0.5
"""Standard deviation of a mark set by hand, zoomed in; common practice, no source."""


@dataclass(frozen=True, slots=True)
class ReferenceSize:
    """What is known of a reference before it is seen.

    Attributes
    ----------
    sides_mm
        Its sizes, as many as its kind has.
    sigma
        Standard deviation of them, as a fraction.
    raised_mm
        How far its marked face lies above what it lies on.
    """

    sides_mm: tuple[float, ...]
    sigma: float = 0.0
    raised_mm: float = 0.0

    @classmethod
    def of_squares(cls, columns: int, rows: int, pitch_mm: float) -> "ReferenceSize":
        """Width and height of so many whole squares of a printed grid.

        Parameters
        ----------
        columns, rows
            Squares from the first mark to the second, and from that to the third.
        pitch_mm
            Between the lines.

        Examples
        --------
        >>> ReferenceSize.of_squares(4, 3, 12.5).sides_mm
        (50.0, 37.5)
        """
        return cls((columns * pitch_mm, rows * pitch_mm))


@dataclass(frozen=True, slots=True)
class Marked:
    """Something of known size and where it was marked.

    Attributes
    ----------
    kind
        The name of its `ReferenceKind`: "LENGTH", "RECTANGLE", "DISC".
    marks_px
        Its marks in turn, as many as the kind needs.
    size_mm
        Its sizes, as many as the kind has.
    height_mm
        How high it lies above the bench.
    size_sigma
        Standard deviation of its size, as a fraction.
    exact
        Whether the marks are to be moved on to ticks or edges.
    marked_px
        Standard deviation of each mark.
    """

    kind: str
    marks_px: tuple[tuple[float, float], ...]
    size_mm: tuple[float, ...]
    height_mm: float = 0.0
    size_sigma: float = 0.0
    exact: bool = False
    marked_px: float = MARKED_PX


@dataclass(frozen=True, slots=True)
class Settled:
    """A reference with its marks where the photo shows them.

    ``seen`` is what its kind found there besides, such as a ruler's ticks.
    """

    marked: Marked
    seen: Any = None


@dataclass(frozen=True, slots=True)
class Misfit:
    """One size of a reference: what it should measure and what the bench makes of it.

    ``sigma_mm`` is the standard deviation of the comparison that marks and typed size leave.
    """

    typed_mm: float
    found_mm: float
    sigma_mm: float = 0.0
    ends_mm: tuple[tuple[float, float], tuple[float, float]] = ((0.0, 0.0), (0.0, 0.0))

    @property
    def away_mm(self) -> float:
        """How much more is found than there should be."""
        return self.found_mm - self.typed_mm


def mark_sigma_px(step_px: float) -> float:
    """Standard deviation of a mark set where a step of the mouse is ``step_px`` of the photo.

    The mouse stops anywhere within a step with equal chance (JCGM 100:2008, 4.3.7), and the hand
    and the photo's own blur add theirs.
    """
    return float(np.hypot(MARKED_PX, max(step_px, 0.0) / np.sqrt(12.0)))


def with_mark_moved(
    references: Sequence[Marked], index: int, place_px: tuple[float, float], sigma_px: float
) -> tuple[list[Marked], int]:
    """Return the references with one mark elsewhere, and which of them it belongs to.

    Parameters
    ----------
    references
        What was marked.
    index
        Counts the marks of all references in turn, from 0.
    place_px
        Where the mark is now.
    sigma_px
        Standard deviation of its place.

    Raises
    ------
    BenchError
        If there is no such mark.
    """
    start = 0
    for which, one in enumerate(references):
        count = len(one.marks_px)
        if start <= index < start + count:
            marks = list(one.marks_px)
            marks[index - start] = place_px
            variance = ((count - 1) * one.marked_px**2 + sigma_px**2) / count
            changed = replace(one, marks_px=tuple(marks), marked_px=float(np.sqrt(variance)))
            return [*references[:which], changed, *references[which + 1 :]], which
        start += count
    raise BenchError(
        "There is no mark {index}; the photo has {start}, counted from 0. Choose one of those.",
        index=index,
        start=start,
    )
