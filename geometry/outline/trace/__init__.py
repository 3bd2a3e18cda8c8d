"""Outlines and pen lines read from photos."""

from .doubt import Doubt
from .tracing import trace, trace_preview

__all__ = [
    "Doubt",
    "trace",
    "trace_preview",
]
