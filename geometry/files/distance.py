"""How far points lie from a chain of segments, exactly."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from shapely import STRtree, linestrings
from shapely import points as make_points

from ..arrays import FloatArray, Points
from ..outline import Arc, Cubic, Line, Segment

__all__ = ["distance_mm", "spread_points"]

CUBIC_STEP_MM = 2e-5
"""Chord error of the lines that stand for a cubic while measuring."""
TABLE = 50_000
"""Largest (points × lines) table worked out directly."""


def distance_mm(points: Points, segments: Iterable[Segment]) -> FloatArray:
    """(N,) distance of (N, 2) points from the nearest of the segments, in mm.

    Exact for lines and arcs; cubics are measured as chords within 0.02 µm.
    """
    best = np.full(len(points), math.inf)
    starts: list[Points] = []
    ends: list[Points] = []
    for segment in segments:
        if isinstance(segment, Arc):
            np.minimum(best, _from_arc(points, segment), out=best)
        else:
            at = np.vstack((segment.flatten(CUBIC_STEP_MM), [segment.end]))
            starts.append(at[:-1])
            ends.append(at[1:])
    if starts:
        np.minimum(best, _from_lines(points, np.vstack(starts), np.vstack(ends)), out=best)
    return best


def spread_points(segments: Sequence[Segment], per_segment: int = 8) -> Points:
    """(N, 2) points spread over the segments, both ends of each included."""
    t = np.linspace(0.0, 1.0, per_segment + 1)
    pieces = []
    for s in segments:
        if isinstance(s, Line):
            a, b = np.array(s.start), np.array(s.end)
            pieces.append(a + t[:, None] * (b - a))
        elif isinstance(s, Arc):
            # A long arc needs more, or a flattened one could pass between the points.
            dense = np.linspace(0.0, 1.0, per_segment * (1 + math.ceil(abs(s.sweep_rad))) + 1)
            angle = s.start_rad + dense * s.sweep_rad
            ring = np.column_stack((np.cos(angle), np.sin(angle)))
            pieces.append(np.array(s.center) + s.radius_mm * ring)
        else:
            assert isinstance(s, Cubic)
            pieces.append(s.points_at(np.linspace(0.0, 1.0, 4 * per_segment + 1)))
    return np.vstack(pieces)


def _from_arc(points: Points, arc: Arc) -> FloatArray:
    offset = points - np.array(arc.center)
    distance = np.abs(np.hypot(offset[:, 0], offset[:, 1]) - arc.radius_mm)
    if arc.is_circle:
        return distance
    sign = math.copysign(1.0, arc.sweep_rad)
    turn = (sign * (np.arctan2(offset[:, 1], offset[:, 0]) - arc.start_rad)) % (2.0 * math.pi)
    ends = np.array([arc.start, arc.end])
    to_ends = np.hypot(*(points[:, None] - ends).transpose(2, 0, 1)).min(axis=1)
    return np.where(turn <= abs(arc.sweep_rad), distance, to_ends)


def _from_lines(points: Points, starts: Points, ends: Points) -> FloatArray:
    if len(points) * len(starts) > TABLE:
        # Thousands of lines, as a traced outline has: a tree finds the nearest of each point.
        tree = STRtree(linestrings(np.stack((starts, ends), axis=1)))
        (order, _), distance = tree.query_nearest(
            make_points(points), return_distance=True, all_matches=False
        )
        nearest = np.empty(len(points))
        nearest[order] = distance
        return nearest
    side = ends - starts
    length2 = np.maximum(np.einsum("ij,ij->i", side, side), 1e-30)
    offset = points[:, None] - starts
    t = np.clip(np.einsum("nij,ij->ni", offset, side) / length2, 0.0, 1.0)
    deviation = offset - t[..., None] * side
    return np.sqrt(np.einsum("nij,nij->ni", deviation, deviation).min(axis=1))
