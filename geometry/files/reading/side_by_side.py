"""How far two paths of the same lines and arcs lie apart at most, one segment beside the other."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ...arrays import FloatArray
from ...outline import Arc, Line, Segment

__all__ = ["side_by_side_mm"]


def side_by_side_mm(one: Sequence[Segment], other: Sequence[Segment]) -> float:
    """Return a distance in mm that no point of either path exceeds from the other path.

    Infinite where the two are not the same segments begun anywhere and run either way; then
    `distance_mm` tells more, at more cost.

    Two lines lie within the larger distance of their ends; two arcs of one turn within the
    distance of their centres and the difference of their radii, or of their ends.
    """
    if len(one) != len(other):
        return math.inf
    here, there = _rows(one), _rows(other)
    if here is None or there is None:
        return math.inf
    back = there[::-1][:, [2, 3, 0, 1, 4, 5, 6, 7]]
    back[:, 7] *= -1.0
    return min(_apart(here, there), _apart(here, back))


def _rows(path: Sequence[Segment]) -> FloatArray | None:
    """(N, 8) start, end, centre, radius and turn of each; the last four 0 for a line."""
    rows = []
    for s in path:
        if isinstance(s, Line):
            rows.append((*s.start, *s.end, 0.0, 0.0, 0.0, 0.0))
        elif isinstance(s, Arc) and not s.is_circle:
            rows.append((*s.start, *s.end, *s.center, s.radius_mm, s.sweep_rad))
        else:
            return None
    return np.array(rows)


def _apart(here: FloatArray, there: FloatArray) -> float:
    """Largest distance of rows, the other path begun where this one begins."""
    first = int(np.hypot(*(there[:, :2] - here[0, :2]).T).argmin())
    off = np.abs(here - np.roll(there, -first, axis=0))
    if np.any((here[:, 6] > 0.0) != (np.roll(there[:, 6], -first) > 0.0)):
        return math.inf
    arcs = np.hypot(off[:, 4], off[:, 5]) + off[:, 6] + off[:, 7] * here[:, 6]
    ends = np.maximum(np.hypot(off[:, 0], off[:, 1]), np.hypot(off[:, 2], off[:, 3]))
    return float(np.maximum(arcs, ends).max())
