"""Fit lines, arcs and cubics to a ring of points."""

from ..arrays import Points
from .segments import Line, Segment

__all__ = ["fit_ring"]


def fit_ring(ring_mm: Points, tolerance_mm: float) -> tuple[Segment, ...]:
    """Return a closed chain of segments that passes every point within ``tolerance_mm``."""
    corners = [(float(x), float(y)) for x, y in ring_mm]
    return tuple(Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))
