"""The jobs of a cut list: how many sets of each, and what all of its pieces come to."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...sheet.placement import Piece
from .cut_notes import JobNote
from .page_text import clean

__all__ = ["job_table"]


def job_table(jobs: Sequence[JobNote], pieces: Sequence[Piece], title: str) -> str:
    """Return a table with a row for every job that has pieces of this stock, as HTML.

    Parameters
    ----------
    jobs
        All that share the sheets; empty where there is only one, which gets no table.
    pieces
        What is cut of this stock, copies counted.
    title
        What the file's own job is called, whose name is "".
    """
    lines = []
    for job in jobs:
        own = [piece for piece in pieces if piece.job == job.name]
        length_mm = math.fsum(
            piece.quantity * loop.length_mm for piece in own for loop in piece.profile.loops
        )
        cells = (
            job.name or title,
            f"{job.sets}",
            f"{sum(piece.quantity for piece in own)}",
            f"{length_mm / 1000.0:.2f} m",
        )
        if own:
            lines.append("<tr>" + "".join(f"<td>{clean(cell)}</td>" for cell in cells) + "</tr>")
    if not lines:
        return ""
    head = "".join(f"<th>{name}</th>" for name in ("Job", "Sets", "Pieces", "Cut length"))
    return (
        f'<h2>Jobs</h2><table id="jobs"><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(lines)}</tbody></table>"
    )
