"""How far a tool goes on a sheet, and how long it takes at feed rates that were measured."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from ..errors import FileError
from .drawing import Drawing
from .layers import CUTS

__all__ = ["Duration", "FeedRates", "clock", "duration"]


@dataclass(frozen=True, slots=True)
class FeedRates:
    """Feed rates of a machine in a stock, mm/s, as somebody measured them; 0 where nobody has.

    ``travel_mm_s`` is between cuts; ``start_s`` is what each cut takes before it moves.
    """

    cut_mm_s: float = 0.0
    score_mm_s: float = 0.0
    mark_mm_s: float = 0.0
    travel_mm_s: float = 0.0
    start_s: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no rate."""
        told = (self.cut_mm_s, self.score_mm_s, self.mark_mm_s, self.travel_mm_s, self.start_s)
        if not all(math.isfinite(rate) and rate >= 0.0 for rate in told):
            raise FileError("Feed rates and the time of a start are 0 or more. Type them again.")


@dataclass(frozen=True, slots=True)
class Duration:
    """Lengths on a sheet, mm; its time, s, None where a rate it needs was never measured.

    ``unknown`` are the rates that are missing: "cut", "score", "mark" and "travel".
    """

    cut_mm: float
    score_mm: float
    mark_mm: float
    travel_mm: float
    starts: int
    seconds: float | None
    unknown: tuple[str, ...] = ()


def duration(drawing: Drawing, rates: FeedRates) -> Duration:
    """Return lengths and time of a drawing, cut in its order from where its first cut begins.

    Parameters
    ----------
    drawing
        A sheet as it is cut.
    rates
        What was measured; nothing is taken for granted where a rate is 0.
    """
    done = [shape for shape in drawing.shapes if shape.operation != "measure"]
    ways = [math.dist(a.segments[-1].end, b.segments[0].start) for a, b in pairwise(done)]
    lengths = {
        "cut": math.fsum(s.length_mm for s in done if s.operation in CUTS),
        "score": math.fsum(s.length_mm for s in done if s.operation == "score"),
        "mark": math.fsum(s.length_mm for s in done if s.operation == "mark"),
        "travel": math.fsum(ways),
    }
    at = {
        "cut": rates.cut_mm_s,
        "score": rates.score_mm_s,
        "mark": rates.mark_mm_s,
        "travel": rates.travel_mm_s,
    }
    unknown = tuple(what for what, length in lengths.items() if length > 0.0 and at[what] <= 0.0)
    seconds = None
    if not unknown:
        moved = math.fsum(length / at[what] for what, length in lengths.items() if length > 0.0)
        seconds = moved + len(done) * rates.start_s
    return Duration(
        lengths["cut"],
        lengths["score"],
        lengths["mark"],
        lengths["travel"],
        len(done),
        seconds,
        unknown,
    )


def clock(seconds: float) -> str:
    """A time as people say it, such as "1 h 5 min", "6 min 12 s" or "48 s"."""
    whole = round(seconds)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    if hours:
        return f"{hours} h {minutes} min"
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"
