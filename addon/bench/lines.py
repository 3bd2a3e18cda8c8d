"""Which of a grid's fine and bold lines the typed pitch is between: asked in the panel."""

from typing import Any

import bpy

from ...geometry.bench import readings
from ..blender.units import show_sides

__all__ = ["MOST_KINDS", "draw_kinds_of_lines", "kept_kinds", "padded_kinds"]

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
