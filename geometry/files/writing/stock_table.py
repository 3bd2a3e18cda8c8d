"""The stock of a cut list: what it is, what was measured of it, and how many sheets it takes."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from ...part.stock import FITS, Stock
from ..drawing import Drawing, KerfState
from .page_text import clean

__all__ = ["stock_table"]

FACES = {"up": "lies up on the machine", "down": "lies down on the machine"}


def stock_table(
    stock: Stock, kerf_state: KerfState, sheets: Sequence[Drawing], guessed: Collection[str]
) -> str:
    """Return what is cut and from what, as HTML: the stock, its sheets, and its kerf in the files.

    Parameters
    ----------
    stock, kerf_state
        What everything is cut from, and whether the drawings allow for its kerf.
    sheets
        One drawing a sheet and face.
    guessed
        What of "thickness" and "kerf" was never measured.
    """
    width, height = stock.sheet_mm
    fronts = [sheet for sheet in sheets if sheet.face == "front"]
    whole = sum(sheet.offcut is None for sheet in fronts)
    leftovers = ", ".join(sheet.offcut.name for sheet in fronts if sheet.offcut is not None)
    said = {
        what: "not measured" if what in guessed else "as measured" for what in ("thickness", "kerf")
    }
    rows = [
        ("Stock", stock.name),
        (f"Thickness, {said['thickness']}", f"{stock.thickness_mm:.2f} mm"),
        ("Process", stock.process),
        (f"Kerf, {said['kerf']}", f"{stock.kerf_mm:.2f} mm"),
        (
            "Kerf in the files",
            "allowed for: machine's own correction off"
            if kerf_state == "corrected"
            else "not allowed for: lines are finished sizes",
        ),
        (
            "Allowances",
            ", ".join(f"{fit} {stock.allowances.of(fit):+.2f}" for fit in FITS) + " mm",
        ),
        *([("Good face", FACES[stock.good_face])] if stock.good_face in FACES else []),
        ("Sheets", f"{whole} of {width:g} × {height:g} mm"),
        *([("Leftover sheets", leftovers)] if leftovers else []),
    ]
    if stock.process == "router":
        rows.insert(3, ("Cutter", f"{stock.cutter_diameter_mm:.2f} mm"))
    lines = "".join(f"<tr><th>{clean(a)}</th><td>{clean(b)}</td></tr>" for a, b in rows)
    return f"<div><h2>Stock</h2><table>{lines}</table></div>"
