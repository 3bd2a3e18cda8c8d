"""What the files call things beside their layers; written and read by the same words."""

from __future__ import annotations

from collections.abc import Mapping

from .drawing import Drawing, KerfState
from .layers import OPERATIONS, Operation

__all__ = [
    "KERF",
    "MEASURE",
    "NOTE",
    "TITLE",
    "UNIT",
    "kerf_from",
    "kerf_words",
    "layer_key",
    "meanings_from",
]

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


def layer_key(operation: Operation) -> str:
    """Return the property under which a file names the layer of an operation."""
    return f"Layer {operation}"


def meanings_from(said: Mapping[str, str]) -> dict[str, Operation]:
    """Return the operations of the layers that a file names, by their names in small letters."""
    return {
        said[key].lower(): operation
        for operation in OPERATIONS
        if (key := layer_key(operation)) in said
    }
