"""Join loose segments, as files hold them, end to end into shapes."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from functools import cached_property

from ...arrays import Point
from ...outline import Arc, Segment

__all__ = ["JOIN_MM", "chain", "chain_closed", "is_closed"]

JOIN_MM = 2e-5
"""Ends at most this far apart belong together: a few times the rounding of our own files."""
LOOSE_MM = (JOIN_MM, 1e-3, 1e-2)
"""What files of others may need; the trade asks for ends within 0.01 mm or better."""


def chain(segments: Sequence[Segment], join_mm: float = JOIN_MM) -> list[tuple[Segment, ...]]:
    """Return the chains the segments make, turned where they lie the wrong way round.

    Segments are followed in the order given, so shapes that only touch stay apart where the file
    lists one after the other. A chain is closed when its end lies within ``join_mm`` of its start.
    """
    ends = _Ends(segments, join_mm)
    chains: list[tuple[Segment, ...]] = []
    for index, segment in enumerate(segments):
        if ends.used[index]:
            continue
        ends.used[index] = True
        if isinstance(segment, Arc) and segment.is_circle:
            chains.append((segment,))
            continue
        path = [segment]
        _extend(path, ends, index)
        if not is_closed(path, join_mm):
            # Perhaps it began in the middle: go on from the other end.
            path = [s.reversed() for s in reversed(path)]
            _extend(path, ends, index)
            path = [s.reversed() for s in reversed(path)]
        chains.append(tuple(path))
    return chains


def chain_closed(segments: Sequence[Segment]) -> tuple[list[tuple[Segment, ...]], float]:
    """Return the chains at the smallest distance that closes them all, and that distance.

    Where none does, the chains at the smallest are as good as any.
    """
    first = chain(segments)
    for join_mm in LOOSE_MM:
        chains = first if join_mm == JOIN_MM else chain(segments, join_mm)
        if all(is_closed(path, join_mm) for path in chains):
            return chains, join_mm
    return first, JOIN_MM


def is_closed(path: Sequence[Segment], join_mm: float = JOIN_MM) -> bool:
    """Whether a path ends within ``join_mm`` of where it starts."""
    if len(path) == 1:
        return isinstance(path[0], Arc) and path[0].is_circle
    return math.dist(path[0].start, path[-1].end) <= join_mm


def _extend(path: list[Segment], ends: _Ends, index: int) -> None:
    while not is_closed(path, ends.join_mm):
        found = ends.next_after(path[-1].end, index)
        if found is None:
            return
        index, segment = found
        path.append(segment)


class _Ends:
    """Where segments end, in square bins."""

    def __init__(self, segments: Sequence[Segment], join_mm: float) -> None:
        self.segments = segments
        self.join_mm = join_mm
        self.used = [False] * len(segments)

    @cached_property
    def bins(self) -> dict[tuple[int, int], list[int]]:
        """Numbers of the segments that begin or end in each bin."""
        bins: dict[tuple[int, int], list[int]] = defaultdict(list)
        for index, segment in enumerate(self.segments):
            for key in {self._key(segment.start), self._key(segment.end)}:
                bins[key].append(index)
        return bins

    def _key(self, point: Point) -> tuple[int, int]:
        return (math.floor(point[0] / self.join_mm), math.floor(point[1] / self.join_mm))

    def next_after(self, point: Point, index: int) -> tuple[int, Segment] | None:
        """Take the unused segment that begins or ends here, the next in file order first."""
        # Nearly always it is the very next, and the bins need not be made.
        if index + 1 < len(self.segments) and not self.used[index + 1]:
            found = self._joined(index + 1, point)
            if found is not None:
                return found
        kx, ky = self._key(point)
        near = [
            other
            for x in (kx - 1, kx, kx + 1)
            for y in (ky - 1, ky, ky + 1)
            for other in self.bins.get((x, y), ())
        ]
        for other in sorted(near, key=lambda o: (o < index, abs(o - index))):
            found = None if self.used[other] else self._joined(other, point)
            if found is not None:
                return found
        return None

    def _joined(self, index: int, point: Point) -> tuple[int, Segment] | None:
        segment = self.segments[index]
        forward, backward = math.dist(segment.start, point), math.dist(segment.end, point)
        if min(forward, backward) > self.join_mm:
            return None
        self.used[index] = True
        return (index, segment if forward <= backward else segment.reversed())
