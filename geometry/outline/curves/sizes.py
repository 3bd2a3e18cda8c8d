"""Sizes of what is selected on an outline: lengths, radii, angles."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ...arrays import Point, Points
from .beziers import segment_between
from .segments import Arc, Segment, turn_at

__all__ = ["Size", "selected_sizes", "whole_sizes"]

SMOOTH_RAD = math.radians(0.1)
"""A joint that turns less is no corner."""


@dataclass(frozen=True, slots=True)
class Size:
    """One number and where to write it; mm, or radians for an angle."""

    kind: Literal["width", "height", "length", "radius", "angle"]
    value: float
    where: Point


def whole_sizes(points: Points) -> tuple[Size, Size]:
    """Width below and height beside (N, 2) points of an outline."""
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return (
        Size("width", float(x1 - x0), (float(x0 + x1) / 2.0, float(y0))),
        Size("height", float(y1 - y0), (float(x1), float(y0 + y1) / 2.0)),
    )


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
