"""What the files call things: layers, colours, properties; written and read by the same words."""

from __future__ import annotations

from .drawing import Drawing, KerfState, Operation

__all__ = ["ACI", "COLOURS", "KERF", "MEASURE", "NOTE", "TITLE", "UNIT", "kerf_from", "kerf_words"]

COLOURS: dict[Operation, tuple[int, int, int]] = {
    "outside": (213, 94, 0),
    "inside": (0, 114, 178),
    "mark": (0, 158, 115),
}
"""Vermilion, blue and bluish green of Okabe and Ito's palette, safe for colour-blind people."""

ACI: dict[Operation, int] = {"outside": 30, "inside": 5, "mark": 3}
"""Nearest numbers of the DXF colour index, for versions without true colour."""

TITLE = "Title"
KERF = "Kerf"
NOTE = "Note"
UNIT = "Unit"
MEASURE = "Measuring square"
"""Its value: x and y of the lower left corner and the side, in mm."""


def kerf_words(drawing: Drawing) -> str:
    """Return the kerf state as the files state it."""
    if drawing.kerf_state == "corrected":
        return f"corrected {drawing.kerf_mm!r} mm"
    return "nominal"


def kerf_from(words: str) -> tuple[KerfState, float]:
    """Return what `kerf_words` said; nominal where it is no such text."""
    state, _, rest = words.partition(" ")
    if state == "corrected":
        try:
            return ("corrected", float(rest.removesuffix(" mm")))
        except ValueError:
            return ("corrected", 0.0)
    return ("nominal", 0.0)
