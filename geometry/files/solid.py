"""The area a closed chain of segments holds, roughly, for asking what lies where."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from shapely import Polygon

from ..arrays import Points
from ..outline import Line, Segment
from ..tolerance import SHOWN_FLAT_MM

__all__ = ["solid"]


def solid(path: Sequence[Segment]) -> Polygon:
    """Return the polygon of a closed path, its chords within 0.05 mm."""
    points = np.concatenate([_points(segment) for segment in path])
    # What is left of a path whose other sides a neighbour has cut may hold nothing.
    return Polygon(points if len(points) > 2 else None)


def _points(segment: Segment) -> Points:
    points = segment.flatten(SHOWN_FLAT_MM)
    if len(points) > 1 or isinstance(segment, Line):
        return points
    # One chord of a shallow arc, closed by a line, would hold nothing at all.
    return np.vstack((points, [segment.point_at(0.5)]))
