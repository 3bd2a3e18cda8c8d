"""The order shapes are cut in: short ways, and nothing cut loose before it is finished."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from shapely import STRtree, points

from ..arrays import Point
from ..outline import Segment
from .solid import solid

__all__ = ["depths", "nearest_next", "part_order"]

Path = Sequence[Segment]


def depths(outsides: Sequence[Path]) -> list[int]:
    """Return how many of the other outlines each outline lies in; 0 for most."""
    if not outsides:
        return []
    tips = points([path[0].start for path in outsides])
    inner, outer = STRtree([solid(path) for path in outsides]).query(tips, predicate="within")
    counts = np.bincount(inner[inner != outer], minlength=len(outsides))
    return [int(count) for count in counts]


def part_order(outsides: Sequence[Path]) -> list[int]:
    """Return the order of parts: deepest nested first, then each time the nearest."""
    levels = depths(outsides)
    order: list[int] = []
    here = (0.0, 0.0)
    for level in sorted(set(levels), reverse=True):
        some = [i for i, depth in enumerate(levels) if depth == level]
        for at in nearest_next([outsides[i] for i in some], here):
            order.append(some[at])
            here = outsides[some[at]][-1].end
    return order


def nearest_next(paths: Sequence[Path], here: Point) -> Iterator[int]:
    """Yield the paths' numbers, each time the one that begins nearest."""
    starts = np.array([path[0].start for path in paths], dtype=np.float64).reshape(-1, 2)
    for _ in paths:
        nearest = int(np.hypot(starts[:, 0] - here[0], starts[:, 1] - here[1]).argmin())
        starts[nearest] = math.inf
        here = paths[nearest][-1].end
        yield nearest
