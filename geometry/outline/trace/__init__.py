"""Outlines and pen lines read from photos."""

from .doubt import Doubt
from .drawn import pen_width_mm, trace_drawn
from .open_line import trace_open_line
from .tracing import trace, trace_preview

__all__ = [
    "Doubt",
    "pen_width_mm",
    "trace",
    "trace_drawn",
    "trace_open_line",
    "trace_preview",
]
