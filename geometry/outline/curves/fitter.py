"""Who fits segments to points for the curves: the fit rests on curves, so they are given it.

`geometry.outline.fit` calls `use` when it is imported, and `geometry.outline` imports it always.
"""

from collections.abc import Callable

from ...arrays import Points
from .segments import Segment

__all__ = ["fit_chain", "fit_ring", "use"]

Fit = Callable[[Points, float], tuple[Segment, ...]]
"""Segments that stay within a tolerance (mm) of points (N, 2) mm."""

_given: dict[str, Fit] = {}


def use(*, ring: Fit, chain: Fit) -> None:
    """Take the fits of closed rings and of open chains to use from now on."""
    _given.update(ring=ring, chain=chain)


def fit_ring(ring_mm: Points, tolerance_mm: float) -> tuple[Segment, ...]:
    """Segments round a closed ring of (N, 2) points, each within ``tolerance_mm`` of it."""
    return _given["ring"](ring_mm, tolerance_mm)


def fit_chain(points_mm: Points, tolerance_mm: float) -> tuple[Segment, ...]:
    """Segments along an open chain of (N, 2) points, each within ``tolerance_mm`` of it."""
    return _given["chain"](points_mm, tolerance_mm)
