"""Outlines read from a photo: where the edge of a part runs, and how surely that was seen."""

from .doubts import Doubt
from .drawn import pen_width_mm, trace_drawn
from .tracing import TracedPart, ground_of, trace, trace_all, trace_preview

__all__ = [
    "Doubt",
    "TracedPart",
    "ground_of",
    "pen_width_mm",
    "trace",
    "trace_all",
    "trace_drawn",
    "trace_preview",
]
