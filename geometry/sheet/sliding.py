"""Slide laid pieces towards the sheet's corner until they are no further apart than asked.

A bitmap leaves up to a cell more between pieces than their gap. Here every piece is pushed along
one axis, then along the other, as far as the outlines let it: exactly, by rays from the corners of
each onto the sides of the other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.polygon import orient

from ..arrays import FloatArray, Points
from ..tolerance import LAYOUT_FLAT_MM
from .placement import Placement

__all__ = ["slid"]

Rings = list[Points]
ROUNDS = 3
"""On 200 random pieces the fourth round moved nothing by more than 0.05 mm."""
LEAST_MM = 1e-3
GRAZE_MM = 1e-5
"""What overlaps across the way by less only touches in passing, and does not stop."""
ENTERED_MM = 0.05
"""A corner may have entered a flat side by so much, by what is let pass and by rounding."""
WIDER = 1.0013
"""Round corners come as 64 chords a turn, 0.12 % short at most: cos(π / 64)."""


def slid(
    placements: Sequence[Placement],
    gap_mm: float,
    margin_mm: float,
    *,
    upright: bool,
    staying: int = 0,
) -> list[Placement]:
    """Return the placements of one sheet, slid towards its lower left corner.

    Parameters
    ----------
    placements
        Each far enough from the others.
    gap_mm, margin_mm
        Least distance between pieces, and from the sheet's edge.
    upright
        Whether the sheet fills from its lower edge up, so that this way comes first.
    staying
        So many of the first placements stay where they are.
    """
    reach = (gap_mm + 2.0 * LAYOUT_FLAT_MM) * WIDER
    shapes = [p.polygon() for p in placements]
    rings = [_rings(shape) for shape in shapes]
    around = [_rings(shape.buffer(reach, quad_segs=16)) for shape in shapes]
    boxes = np.array([shape.bounds for shape in shapes])
    moved = np.zeros((len(shapes), 2))
    for _ in range(ROUNDS):
        before = moved.copy()
        for axis in (1, 0) if upright else (0, 1):
            for i in np.argsort(boxes[:, axis], kind="stable"):
                if i < staying:
                    continue
                free = boxes[i, axis] - margin_mm - LAYOUT_FLAT_MM
                for j in _in_the_way(int(i), axis, boxes, reach, free):
                    free = min(free, _gap(rings[i], around[j], boxes[i], axis))
                if free > LEAST_MM:
                    moved[i, axis] -= free
                    boxes[i, [axis, axis + 2]] -= free
                    for ring in (*rings[i], *around[i]):
                        ring[:, axis] -= free
        if np.abs(moved - before).max() < LEAST_MM:
            break
    return [_shifted(p, by) for p, by in zip(placements, moved, strict=True)]


def _shifted(placement: Placement, by: FloatArray) -> Placement:
    if not by.any():
        return placement
    matrix = placement.matrix.copy()
    matrix[:2, 2] += by
    return replace(placement, matrix=matrix)


def _in_the_way(
    i: int, axis: int, boxes: FloatArray, reach: float, free: float
) -> NDArray[np.int64]:
    """Numbers of the pieces that one may meet on its way down an axis, by their boxes."""
    across, own = 1 - axis, boxes[i]
    beside = (boxes[:, across] - reach < own[across + 2]) & (
        boxes[:, across + 2] + reach > own[across]
    )
    below = (boxes[:, axis] - reach < own[axis + 2]) & (
        boxes[:, axis + 2] + reach > own[axis] - free
    )
    found = beside & below
    found[i] = False
    return np.flatnonzero(found)


def _gap(own: Rings, other: Rings, box: FloatArray, axis: int) -> float:
    """How far one piece moves down an axis until it meets the surroundings of another."""
    low, high = box[1 - axis], box[3 - axis]
    # A hair narrower across the way, so that sides that graze each other are passed.
    narrower = 1.0 - 2.0 * GRAZE_MM / (high - low)
    middle = 0.5 * (low + high)
    a = [_facing(ring, axis) for ring in own]
    for ring in a:
        ring[:, 1] = middle + narrower * (ring[:, 1] - middle)
    b = [_facing(ring, axis) for ring in other]
    return min(_rays(np.vstack(a), b, -1.0), _rays(np.vstack(b), a, 1.0))


def _rings(shape: Polygon) -> Rings:
    """The closed rings of a shape, (N, 2), material on their left."""
    turned = orient(shape)
    return [np.array(r.coords)[:, :2] for r in (turned.exterior, *turned.interiors)]


def _facing(ring: Points, axis: int) -> Points:
    """A ring with the axis of the move first, material still on its left."""
    return ring.copy() if axis == 0 else np.ascontiguousarray(ring[::-1, ::-1])


def _rays(corners: Points, rings: Sequence[Points], way: float) -> float:
    """Least distance from corners, one way along the first coordinate, to the sides they enter."""
    least = math.inf
    y = corners[:, 1:]
    for ring in rings:
        (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
        facing = way * (y1 - y0) < 0.0
        crosses = (y >= np.minimum(y0, y1)) & (y <= np.maximum(y0, y1)) & facing
        if not crosses.any():
            continue
        rise = np.where(facing, y1 - y0, 1.0)
        at = x0 + (y - y0) / rise * (x1 - x0)
        ahead = way * (at - corners[:, :1])
        hits = ahead[crosses & (ahead > -ENTERED_MM)]
        if len(hits):
            least = min(least, float(hits.min()))
    return max(least, 0.0)
