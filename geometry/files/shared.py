"""Edges that neighbours share, cut once."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from shapely import STRtree, linestrings

from ..arrays import Point
from ..outline import Line, Segment
from .drawing import Shape

__all__ = ["SHARED_MM", "cut_shared_once"]

SHARED_MM = 0.02
"""Lines this near are one cut: a layout leaves as much for its chords, and a part changes by no
more, which is less than common machines repeat to (common practice, no source)."""
LEFT_MM = 1e-3
"""A shorter rest of a line is none."""
SHORTEST_SHARED_MM = 1.0
"""A shorter interval is not worth lifting the tool for."""

Interval = tuple[float, float]


def cut_shared_once(shapes: Sequence[Shape]) -> tuple[Shape, ...]:
    """Return the shapes with every straight interval that two outsides share left to the first.

    That is right where paths allow for the kerf and neighbours lie a kerf apart, so that their
    corrected paths coincide. What is left of the later outside is open paths, which end on the
    earlier one. Arcs are left alone.
    """
    lines, owners = [], []
    for number, shape in enumerate(shapes):
        if shape.operation == "outside" and shape.closed:
            for index, segment in enumerate(shape.segments):
                if isinstance(segment, Line):
                    lines.append(segment)
                    owners.append((number, index))
    if not lines:
        return tuple(shapes)
    drawn = linestrings([(line.start, line.end) for line in lines])
    tree = STRtree(drawn)
    taken: dict[tuple[int, int], list[Interval]] = defaultdict(list)
    for later, earlier in tree.query(drawn, predicate="dwithin", distance=SHARED_MM).T:
        if owners[earlier][0] < owners[later][0]:
            interval = _shared(lines[later], lines[earlier])
            if interval is not None:
                taken[owners[later]].append(interval)
    kept: list[Shape] = []
    for number, shape in enumerate(shapes):
        intervals = {
            i: taken[number, i] for i in range(len(shape.segments)) if (number, i) in taken
        }
        kept += _open(shape, intervals) if intervals else [shape]
    return tuple(kept)


def _shared(line: Line, other: Line) -> Interval | None:
    """Which interval of a line, by its length from its start, the other covers."""
    start, chord = np.array(line.start), np.array(line.end) - np.array(line.start)
    length = math.hypot(*chord)
    along = chord / length
    offsets = np.array([other.start, other.end]) - start
    places = offsets @ along
    sides = offsets @ np.array([-along[1], along[0]])
    low, high = max(places.min(), 0.0), min(places.max(), length)
    if high - low < min(SHORTEST_SHARED_MM, length):
        return None
    # How far the other lies aside at both ends of the interval.
    aside = np.interp([low, high], np.sort(places), sides[np.argsort(places)])
    return (float(low), float(high)) if np.abs(aside).max() <= SHARED_MM else None


def _open(shape: Shape, intervals: dict[int, list[Interval]]) -> list[Shape]:
    """Return what is left of a closed path without some intervals of its lines."""
    chains: list[list[Segment]] = [[]]
    for index, segment in enumerate(shape.segments):
        if index not in intervals or not isinstance(segment, Line):
            chains[-1].append(segment)
            continue
        here = 0.0
        for low, high in sorted(intervals[index]):
            if low - here > LEFT_MM:
                chains[-1].append(Line(_at(segment, here), _at(segment, low)))
            chains.append([])
            here = max(here, high)
        if segment.length_mm - here > LEFT_MM:
            chains[-1].append(Line(_at(segment, here), segment.end))
    if len(chains) > 1:
        # The loop began in the middle of a path.
        chains[0] = chains.pop() + chains[0]
    return [Shape(tuple(c), False, shape.operation, shape.name) for c in chains if c]


def _at(line: Line, along_mm: float) -> Point:
    return line.start if along_mm <= 0.0 else line.point_at(along_mm / line.length_mm)
