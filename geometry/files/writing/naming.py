"""File names that say what is in the file, safe on every system."""

from __future__ import annotations

import re

from ...part.stock import Stock
from ...sentences import legible
from ..drawing import KerfState

__all__ = ["file_name"]

LONGEST = 150
"""File systems take 255 bytes; what people put before or after has the rest."""
RESERVED = re.compile(r"(?i)^(con|prn|aux|nul|com\d|lpt\d)$")
"""Names Windows keeps for devices, whatever the ending."""


def file_name(title: str, stock: Stock, kerf_state: KerfState, ending: str) -> str:
    """Return e.g. “globe cradle sheet 1 - 3 mm plywood 2.90 mm - kerf corrected 0.18.dxf”.

    Parameters
    ----------
    title
        Of the job or sheet.
    stock
        Whose name and thickness are in the name.
    kerf_state
        Whether the lines are corrected for the kerf.
    ending
        Such as "dxf".
    """
    kerf = f"kerf corrected {stock.kerf_mm:.3g}" if kerf_state == "corrected" else "kerf nominal"
    rest = f" - {_safe(stock.name)} {stock.thickness_mm:.2f} mm - {kerf}"
    head = _safe(title) or "drawing"
    if RESERVED.match(head.split(".")[0].strip()):
        head = f"drawing {head}"
    # File systems count bytes, and a letter may take four.
    room = max(LONGEST - len(rest.encode()), 20)
    head = head.encode()[:room].decode(errors="ignore").rstrip(" .")
    return f"{head}{rest}.{ending.lstrip('.').lower()}"


def _safe(text: str) -> str:
    """Replace what Windows, macOS or a shell could take for something else."""
    plain = re.sub(r'[<>:"/\\|?*\x00-\x1f\x7f]+', " ", legible(text))
    return re.sub(r"\s+", " ", plain).strip(" .")[:100]
