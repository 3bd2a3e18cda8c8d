"""The shortest line between an outline and many straight edges, arcs taken as the arcs they are."""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from ...arrays import FloatArray, Points
from ...outline.curves import Loop, LoopArrays
from .frames import IntArray
from .plates import CHORD_MM

__all__ = ["Across", "shortest_line"]

PROBE = 64
"""Every so many-th edge is measured first, to know how far the others need be looked at."""
BOXES = 32
"""An outline's edges are put in so many boxes, to rule out what is far from all of them."""
BLOCK = 500_000
"""Pairs of an edge and an arc that are looked at together."""


class Across(NamedTuple):
    """A shortest line: its length, and its ends (2,) on the outline and on an edge."""

    length_mm: float
    own: Points
    other: Points


class _Arcs(NamedTuple):
    """Arcs as columns (M,): centre, radius, direction of their middle, cosine of half the sweep."""

    x: FloatArray
    y: FloatArray
    radius: FloatArray
    toward_x: FloatArray
    toward_y: FloatArray
    reach: FloatArray


def shortest_line(loops: Sequence[Loop], start: Points, end: Points) -> Across:
    """Return the shortest line from an outline's edges to straight edges.

    Lines and arcs are exact; other curves are chords within 1e-4 mm. Where edges cross, the
    length is 0.

    Parameters
    ----------
    start, end : (N, 2) float
        Ends of the straight edges, mm; at least one.
    """
    own = [o.arrays or LoopArrays.of_lines(o.flatten(CHORD_MM)) for o in loops]
    best = _to_arcs(own, start, end)
    return _to_lines(own, start, end, best) if best.length_mm > 0.0 else best


def _to_lines(loops: list[LoopArrays], start: Points, end: Points, best: Across) -> Across:
    """The shortest line to lines and the ends of arcs, if it is shorter than the best known."""
    sides = [np.stack((o.corner, np.roll(o.corner, -1, axis=0)), axis=1) for o in loops]
    lines = np.concatenate([np.delete(s, o.arc, axis=0) for s, o in zip(sides, loops, strict=True)])
    arc_ends = np.concatenate([s[o.arc] for s, o in zip(sides, loops, strict=True)])
    own = np.concatenate((shapely.linestrings(lines), shapely.points(arc_ends.reshape(-1, 2))))
    tree = shapely.STRtree(own)
    _, away = tree.query_nearest(
        _edges(start[::PROBE], end[::PROBE]), all_matches=False, return_distance=True
    )
    reach = min(float(away.min()), best.length_mm)
    near = _near_boxes(shapely.bounds(own), start, end, reach)
    edges = _edges(start[near], end[near])
    # A hair more, so that what sets the reach is itself within it.
    (edge, line), away = tree.query_nearest(
        edges, max_distance=reach * (1.0 + 1e-12) + 1e-12, all_matches=False, return_distance=True
    )
    nearest = int(np.argmin(away)) if len(away) else -1
    if nearest < 0 or away[nearest] >= best.length_mm:
        return best
    ends = shapely.get_coordinates(shapely.shortest_line(own[line[nearest]], edges[edge[nearest]]))
    return Across(float(away[nearest]), ends[0], ends[1])


def _edges(start: Points, end: Points) -> NDArray[np.object_]:
    edges = shapely.linestrings(np.stack((start, end), axis=1))
    # An edge of no length is a place; as a line its distances would come out wrong.
    dots = (start == end).all(axis=1)
    edges[dots] = shapely.points(start[dots])
    return np.asarray(edges)


def _near_boxes(bounds: FloatArray, start: Points, end: Points, reach: float) -> NDArray[np.bool_]:
    """(N,) which edges come within reach of boxes (K, 4), looked at a few neighbours together."""
    first = np.arange(0, len(bounds), max(math.ceil(len(bounds) / BOXES), 1))
    low = np.minimum.reduceat(bounds[:, :2], first)
    high = np.maximum.reduceat(bounds[:, 2:], first)
    (x0, y0), (x1, y1) = np.minimum(start, end).T, np.maximum(start, end).T
    near = np.zeros(len(start), dtype=bool)
    for (left, bottom), (right, top) in zip(low - reach - 1e-9, high + reach + 1e-9, strict=True):
        near |= (x1 >= left) & (x0 <= right) & (y1 >= bottom) & (y0 <= top)
    return near


def _to_arcs(loops: list[LoopArrays], start: Points, end: Points) -> Across:
    """The shortest line to the insides of arcs; of infinite length if there are none."""
    joined = [np.concatenate(column) for column in zip(*map(_columns, loops), strict=True)]
    best = Across(math.inf, start[0], start[0])
    size = max(BLOCK // len(start), 1)
    length = np.hypot(*(end - start).T)
    for first in range(0, len(joined[0]), size):
        arcs = _Arcs(*(column[first : first + size] for column in joined))
        probed = start[::PROBE], end[::PROBE]
        every = np.divmod(np.arange(len(arcs.x) * len(probed[0])), len(probed[0]))
        best = _nearer(best, arcs, *probed, *every)
        # An edge is no nearer to a circle than its start, less its length.
        away = np.hypot(arcs.x[:, None] - start[:, 0], arcs.y[:, None] - start[:, 1])
        close = np.abs(away - arcs.radius[:, None]) - length < best.length_mm
        best = _nearer(best, arcs, start, end, *np.nonzero(close))
    return best


def _columns(loop: LoopArrays) -> _Arcs:
    middle = loop.start_rad + 0.5 * loop.sweep_rad
    reach = np.cos(0.5 * np.abs(loop.sweep_rad))
    x, y = loop.center.T
    return _Arcs(x, y, loop.radius, np.cos(middle), np.sin(middle), reach)


def _nearer(
    best: Across, arcs: _Arcs, start: Points, end: Points, arc: IntArray, edge: IntArray
) -> Across:
    """The best known line, or a shorter one between some pairs of an arc and an edge.

    The nearest place of an edge to the inside of an arc is one of its ends, the foot of the arc's
    centre, or where it crosses the circle.
    """
    x, y = start[edge, 0] - arcs.x[arc], start[edge, 1] - arcs.y[arc]
    run_x, run_y = end[edge, 0] - start[edge, 0], end[edge, 1] - start[edge, 1]
    radius = arcs.radius[arc]
    length_sq = np.maximum(run_x**2 + run_y**2, 1e-300)
    foot = -(x * run_x + y * run_y) / length_sq
    aside_sq = x**2 + y**2 - foot**2 * length_sq
    # Half the chord that the circle cuts from the edge's line, as a fraction of the edge.
    half = np.sqrt(np.maximum(radius**2 - aside_sq, 0.0) / length_sq)
    for fraction in (0.0, 1.0, foot, foot - half, foot + half):
        fraction = np.clip(fraction, 0.0, 1.0)
        to_x, to_y = x + fraction * run_x, y + fraction * run_y
        away = np.hypot(to_x, to_y)
        swept = to_x * arcs.toward_x[arc] + to_y * arcs.toward_y[arc] >= away * arcs.reach[arc]
        gap = np.where(swept, np.abs(away - radius), np.inf)
        k = int(np.argmin(gap)) if len(gap) else -1
        if k >= 0 and gap[k] < best.length_mm:
            spoke = np.array((to_x[k], to_y[k]))
            center = np.array((arcs.x[arc[k]], arcs.y[arc[k]]))
            own = center + spoke * (radius[k] / max(float(away[k]), 1e-300))
            best = Across(float(gap[k]), own, center + spoke)
    return best
