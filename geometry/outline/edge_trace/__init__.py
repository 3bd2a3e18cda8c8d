"""Outlines read from a photo: where the edge of a part runs, and how surely that was seen."""

from .doubts import Doubt
from .tracing import ground_of, trace, trace_preview

__all__ = ["Doubt", "ground_of", "trace", "trace_preview"]
