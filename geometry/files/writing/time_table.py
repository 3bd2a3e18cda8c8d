"""The part of a cut list that tells how far the tool goes on each sheet, and for how long."""

from __future__ import annotations

from collections.abc import Sequence

from ..drawing import Drawing
from ..duration import Duration, FeedRates, clock, duration
from .page_text import clean

__all__ = ["time_table"]

CALLED = {"cut": "cutting", "score": "scoring", "mark": "engraving", "travel": "ways between"}


def time_table(sheets: Sequence[Drawing], rates: FeedRates) -> str:
    """Return the table: lengths of each sheet, and its time where every rate was measured."""
    found = [duration(sheet, rates) for sheet in sheets]
    rows = [_row(clean(s.title), one) for s, one in zip(sheets, found, strict=True)]
    known = [one.seconds for one in found if one.seconds is not None]
    if len(found) > 1 and len(known) == len(found):
        rows.append(f"<tr><td>All</td><td></td><td></td><td>{clock(sum(known))}</td></tr>")
    return f'<h2>Length and Time</h2><table id="times" class="left">{"".join(rows)}</table>'


def _row(title: str, one: Duration) -> str:
    parts = [("cut", one.cut_mm), ("score", one.score_mm), ("mark", one.mark_mm)]
    told = ", ".join(f"{CALLED[what]} {mm / 1000.0:.2f} m" for what, mm in parts if mm > 0.0)
    ways = f"{one.starts} starts, {one.travel_mm / 1000.0:.2f} m between"
    if one.seconds is not None:
        time = clock(one.seconds)
    else:
        time = f"not known: measure the feed of {', '.join(CALLED[w] for w in one.unknown)}"
    return f"<tr><td>{title}</td><td>{told}</td><td>{ways}</td><td>{time}</td></tr>"
