"""Outlines read from a photo: where the edge of a part runs, and how surely that was seen."""

from .bed import has_grid
from .doubts import Doubt
from .rings import FineRing
from .tracing import TracedPart, ground_of, trace, trace_all, trace_preview

__all__ = [
    "Doubt",
    "FineRing",
    "TracedPart",
    "ground_of",
    "has_grid",
    "trace",
    "trace_all",
    "trace_preview",
]
