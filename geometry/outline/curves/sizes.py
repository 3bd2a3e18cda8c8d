"""Sizes of what is selected on an outline: lengths, radii, angles."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import Point, Points
from .beziers import segment_between
from .segments import Arc, Segment, turn_at

__all__ = ["Size", "selected_sizes", "whole_sizes"]

SQUARE_MM = 1e-6
"""Sides that differ by less are equal."""
SMOOTH_RAD = math.radians(0.1)
"""A joint that turns less is no corner."""


@dataclass(frozen=True, slots=True)
class Size:
    """One number and where to write it; mm, or radians for an angle."""

    kind: Literal["width", "height", "length", "radius", "angle"]
    value: float
    where: Point


def whole_sizes(points: Points) -> tuple[Size, Size]:
    """Both sides of the smallest box round (N, 2) points, as a caliper measures; the wider first.

    The "width" is written at the box's lower long side, the "height" at the right short one.
    """
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shapely.MultiPoint(points)))
    ends = np.stack((box[:4], np.roll(box[:4], -1, axis=0)), axis=1)
    lengths = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    if abs(lengths[0] - lengths[1]) < SQUARE_MM:
        # Of a square's sides the one nearer to level counts as its width.
        rise = np.abs(ends[:2, 1, 1] - ends[:2, 0, 1])
        first = int(np.argmin(rise))
    else:
        first = int(np.argmax(lengths[:2]))
    middles = ends.mean(axis=1)
    wide, high = (first, first + 2), ((first + 1) % 4, (first + 3) % 4)
    below = min(wide, key=lambda k: (middles[k, 1], middles[k, 0]))
    beside = max(high, key=lambda k: (middles[k, 0], middles[k, 1]))
    return (
        Size("width", float(lengths[first]), _place(middles[below])),
        Size("height", float(lengths[(first + 1) % 4]), _place(middles[beside])),
    )


def _place(point: Points) -> Point:
    return (float(point[0]), float(point[1]))


def selected_sizes(knots_mm: Points, selected: NDArray[np.bool_]) -> tuple[Size, ...]:
    """Sizes of the edges between selected knots, and the inner angles at selected corners.

    ``knots_mm`` is (N, 3, 2) as `loop_to_knots` has it, closed; ``selected`` is (N,).
    """
    knots = np.asarray(knots_mm, dtype=np.float64)
    count = len(knots)
    if count < 2:
        return ()
    following = np.roll(knots, -1, axis=0)
    edges = [segment_between(a[1], a[2], b[0], b[1]) for a, b in zip(knots, following, strict=True)]
    (x, y), (u, v) = knots[:, 1].T, following[:, 1].T
    turned = float(np.sum(x * v - y * u))
    found: list[Size] = []
    for k in np.flatnonzero(selected):
        if selected[(k + 1) % count]:
            found.extend(_edge(edges[k]))
        found.extend(_corner(edges[k - 1], edges[k], turned < 0.0))
    return tuple(found)


def _edge(edge: Segment) -> list[Size]:
    where = edge.point_at(0.5)
    sizes = [Size("length", edge.length_mm, where)]
    if isinstance(edge, Arc):
        sizes.append(Size("radius", edge.radius_mm, where))
    return sizes


def _corner(before: Segment, after: Segment, clockwise: bool) -> list[Size]:
    turn = turn_at(before, after)
    if abs(turn) < SMOOTH_RAD:
        return []
    return [Size("angle", math.pi - (-turn if clockwise else turn), after.start)]
