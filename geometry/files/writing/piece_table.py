"""The pieces of a cut list: each with its picture, count and sizes, and which face lies up."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...part.stock import Stock
from ...part.twins import mirrored_pairs
from ...sheet.placement import Piece
from ..compose import drawing
from .page_text import clean
from .svg import svg_text

__all__ = ["HAIRLINE_MM", "piece_table"]

HAIRLINE_MM = 0.4
"""Thick enough to see where the page's own style is not followed."""


def _picture(piece: Piece) -> str:
    """Draw one piece at finished size, upright as it is cut and never mirrored."""
    return svg_text(drawing([piece.profile]), hairline_mm=HAIRLINE_MM, heading=False)


def _name(index: int, pieces: Sequence[Piece], stock: Stock, twins: Sequence[int]) -> str:
    """What a piece is called, which of its faces lies up, and whose mirror image it is."""
    name = pieces[index].name or f"piece {index + 1}"
    if stock.good_face == "both":
        return name
    told = [f"its {'lower' if pieces[index].is_turned else 'upper'} face lies up"]
    told += [f"mirror image of {pieces[i].name or f'piece {i + 1}'}" for i in twins]
    return f"{name} ({', '.join(told)})"


def piece_table(pieces: Sequence[Piece], stock: Stock) -> str:
    """Return the table of pieces, one row each, as HTML."""
    one_sided = stock.good_face != "both"
    pairs = mirrored_pairs([piece.profile for piece in pieces]) if one_sided else []
    heads: tuple[str, ...] = (
        "Piece",
        "Picture",
        "Count",
        "Width",
        "Height",
        "Holes",
        "Cut length",
        "Area, each",
    )
    has_jobs = any(piece.job for piece in pieces)
    if has_jobs:
        heads = (*heads, "Job")
    lines = []
    for index, piece in enumerate(pieces):
        twins = [i + j - index for i, j in pairs if index in (i, j)]
        x0, y0, x1, y1 = piece.profile.bounds_mm
        length = math.fsum(loop.length_mm for loop in piece.profile.loops)
        cells = (
            _name(index, pieces, stock, twins),
            f"{piece.quantity}",
            f"{x1 - x0:.2f} mm",
            f"{y1 - y0:.2f} mm",
            f"{len(piece.profile.holes)}",
            f"{length * piece.quantity / 1000.0:.2f} m",
            f"{piece.profile.area_mm2 / 100.0:.1f} cm²",
        )
        columns = [f"<td>{clean(c)}</td>" for c in cells]
        columns.insert(1, f"<td>{_picture(piece)}</td>")
        if has_jobs:
            columns.append(f'<td class="job">{clean(piece.job or "–")}</td>')
        lines.append("<tr>" + "".join(columns) + "</tr>")
    head = "".join(f"<th>{h}</th>" for h in heads)
    body = "\n".join(lines)
    return (
        f'<h2>Pieces</h2><table id="pieces"><thead><tr>{head}</tr></thead>'
        f"<tbody>{body}</tbody></table>"
    )
