"""References held against a bench they did not give."""

import numpy as np
from numpy.typing import ArrayLike

from ...sentences import Sentence
from ..bench import CERTAIN, Bench
from .kinds import kind_named
from .marked import MARKED_PX, Marked, Misfit

__all__ = ["contradictions", "disagreement", "misfits"]


def misfits(bench: Bench, marked: Marked) -> tuple[Misfit, ...]:
    """What a bench makes of each size of a reference; a length has one, a rectangle four."""
    return kind_named(marked.kind).misfits(bench, marked)


def contradictions(bench: Bench, marked: Marked) -> str:
    """Return a warning with both numbers if a reference disagrees with a bench it did not give.

    Of several sizes the one that is off the most is told; empty if all agree.
    """
    sides = misfits(bench, marked)
    told = [_told(bench, side, marked.height_mm) for side in sides]
    off = [abs(side.away_mm) / side.typed_mm if text else 0.0
           for side, text in zip(sides, told, strict=True)]  # fmt: skip
    return told[int(np.argmax(off))]


def disagreement(
    bench: Bench,
    a_px: ArrayLike,
    b_px: ArrayLike,
    length_mm: float,
    *,
    sigma_mm: float = 0.0,
    marked_px: float = MARKED_PX,
    height_mm: float = 0.0,
) -> str:
    """Return a warning if a second reference disagrees with a bench by more than both explain.

    Parameters
    ----------
    a_px, b_px : (2,)
        Ends of a length known otherwise, such as the side of a sheet lying on the grid.
    length_mm
        What it should measure.
    sigma_mm
        Standard deviation of that length itself.
    marked_px
        Standard deviation of each end.
    height_mm
        How high it lies above the bench.

    Returns
    -------
    str
        A sentence with both numbers; empty if they agree.
    """
    marks = tuple((float(x), float(y)) for x, y in (np.ravel(a_px), np.ravel(b_px)))
    marked = Marked(
        "LENGTH", marks, (length_mm,), height_mm, sigma_mm / length_mm, marked_px=marked_px
    )
    return contradictions(bench, marked)


def _told(bench: Bench, side: Misfit, height_mm: float) -> str:
    own = CERTAIN * side.sigma_mm
    of_bench = bench.length_uncertainty(*side.ends_mm, height_mm)
    if abs(side.away_mm) <= float(np.hypot(own, of_bench)):
        return ""
    return Sentence(
        "Two references disagree: {typed_mm:g} ± {own_mm:.2g} mm by the one is {found_mm:.2f} ± "
        "{bench_mm:.2g} mm by the other, {away_percent:+.1f} %. Check what was typed and marked "
        "for both before cutting.",
        {
            "typed_mm": side.typed_mm,
            "own_mm": own,
            "found_mm": side.found_mm,
            "bench_mm": of_bench,
            "away_percent": 100.0 * side.away_mm / side.typed_mm,
        },
    )
