"""What a photo leaves open of its grid, asked in the panel: which lines, and which sheet."""

from collections.abc import Sequence
from typing import Any

import bpy

from ...geometry.bench import readings
from ..blender.units import show_sides

__all__ = [
    "MOST_KINDS",
    "SHEETS_SIZE",
    "draw_kinds_of_lines",
    "draw_other_sheets",
    "kept_kinds",
    "meant_sheet",
    "padded_kinds",
    "padded_sheets",
]

MOST_KINDS = 4
"""Kinds of lines that are kept; finest, fine, bold, boldest."""


def padded_kinds(levels: tuple[float, ...]) -> tuple[float, ...]:
    """Spacings of the kinds of lines found as a photo's bench keeps them, zeros after the last."""
    return (*levels, *(0.0 for _ in range(MOST_KINDS)))[:MOST_KINDS]


def kept_kinds(bench: Any) -> tuple[float, ...]:
    """Spacings of the kinds of lines that a photo's bench keeps, in sides of squares measured."""
    return tuple(level for level in bench.line_kinds if level > 0.0)


def draw_kinds_of_lines(layout: bpy.types.UILayout, bench: Any) -> None:
    """Ask which lines the pitch is between: a button for each reading, the one taken pressed in."""
    kinds = kept_kinds(bench)
    if len(kinds) < 2 or bench.found_from != "GRID":
        return
    column = layout.column(align=True)
    column.label(text="Lines are apart")
    row = column.row(align=True)
    for kind, spacings_mm in zip(kinds, readings(kinds, bench.found_pitch_mm), strict=True):
        button: Any = row.operator(
            "flatwright.find_grid",
            text=show_sides(spacings_mm, between=" / ", short=True),
            depress=kind == (bench.line_kind or 1.0),
            translate=False,
        )
        button.line_kind = kind


SHEETS_SIZE = 6
"""Numbers kept of other sheets: x and y of three."""

Places = tuple[tuple[float, float], ...]


def padded_sheets(places_px: Places) -> tuple[float, ...]:
    """Places on other sheets as a photo's bench keeps them, zeros after the last."""
    flat = [number for place in places_px for number in place]
    return (*flat, *(0.0 for _ in range(SHEETS_SIZE)))[:SHEETS_SIZE]


def meant_sheet(place_px: Sequence[float]) -> tuple[float, float] | None:
    """A place kept, px; None for zeros."""
    x, y = place_px
    return (x, y) if x or y else None


def draw_other_sheets(layout: bpy.types.UILayout, bench: Any) -> None:
    """A button for each of the other sheets."""
    numbers = tuple(bench.other_sheets)
    places = [meant_sheet(pair) for pair in zip(numbers[::2], numbers[1::2], strict=True)]
    if bench.found_from != "GRID" or not any(places):
        return
    column = layout.column(align=True)
    for place in filter(None, places):
        button: Any = column.operator(
            "flatwright.find_grid", text="Use Other Sheet", icon="FILE_REFRESH"
        )
        button.sheet_px = place
