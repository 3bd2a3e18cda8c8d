"""The order shapes are cut in: short ways, and nothing cut loose before it is finished."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely import Point as ShapelyPoint
from shapely import prepare

from ..arrays import Point
from ..outline import Segment
from .solid import solid

__all__ = ["depths", "nearest_next", "part_order"]

Path = Sequence[Segment]


def depths(outsides: Sequence[Path]) -> list[int]:
    """Return how many of the other outlines each outline lies in; 0 for most."""
    areas = [solid(path) for path in outsides]
    for area in areas:
        prepare(area)
    tips = [ShapelyPoint(path[0].start) for path in outsides]
    return [
        sum(area.contains(tip) for j, area in enumerate(areas) if j != i)
        for i, tip in enumerate(tips)
    ]


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
    left = list(range(len(paths)))
    while left:
        nearest = min(left, key=lambda i: math.dist(here, paths[i][0].start))
        left.remove(nearest)
        here = paths[nearest][-1].end
        yield nearest
