"""Outlines read from a photo: where the edge of a part runs, and how surely that was seen."""

from .doubts import Doubt
from .light import LINEAR, light_at
from .masks import regions, row_runs
from .rings import FineRing
from .tracing import TracedPart, check_photo, foresee_bench, trace, trace_all, trace_preview

__all__ = [
    "LINEAR",
    "Doubt",
    "FineRing",
    "TracedPart",
    "check_photo",
    "foresee_bench",
    "light_at",
    "regions",
    "row_runs",
    "trace",
    "trace_all",
    "trace_preview",
]
