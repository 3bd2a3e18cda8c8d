"""Closed loops among runs of edges: what is closed by itself, what meets, what nearly meets."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence

from shapely import Polygon

from ...arrays import Point
from ...outline import Arc, Cubic, Line, Loop, Segment
from ...tolerance import READ_FLAT_MM
from .budget import Budget
from .chain import JOIN_MM, chain
from .ellipses import line_if_flat
from .faces import Network, edge_key

__all__ = ["Closed", "LoopFinder"]

SMALLEST_MM2 = 1e-3
"""A thirtieth of a mm squared: smaller loops are rounding."""
NARROW_MM = 0.03
"""The side of such a square: what is longer and yet encloses nothing runs there and back."""
Run = tuple[Segment, ...]
Closed = tuple[str, Loop, Polygon]
"""A loop with its layer and the polygon it nearly is."""


class LoopFinder:
    """Collects the closed loops of a file's runs, and counts what makes none.

    ``gaps`` holds the width of every gap that was closed, ``lines`` what stayed open.
    """

    def __init__(self, join_mm: float, left_out: Counter[str], budget: Budget) -> None:
        self.join_mm, self.left_out, self.budget = join_mm, left_out, budget
        self.loops: list[Closed] = []
        self.gaps: list[float] = []
        self.lines: list[tuple[str, Run]] = []
        self._seen: set[frozenset[tuple[float, ...]]] = set()

    def find(self, runs: Iterable[tuple[str, Run]]) -> list[Closed]:
        """Return the loops: each run that is closed, then what the others make together."""
        loose: dict[str, list[Segment]] = {}
        for layer, raw in runs:
            run = tuple(line_if_flat(edge, JOIN_MM) for edge in raw)
            if not self._keep(layer, run, JOIN_MM):
                loose.setdefault(layer, []).extend(run)
        for layer, edges in loose.items():
            self._join(layer, edges)
        return self.loops

    def _join(self, layer: str, edges: Sequence[Segment]) -> None:
        """Find loops among loose edges: in the order of the file, as faces, then over gaps."""
        self.budget.look()
        paths = chain(edges)
        closed = [path for path in paths if self._closes(path, JOIN_MM)]
        if len(closed) < len(paths):
            closed, open_edges = self._faces(edges, paths)
        else:
            open_edges = []
        for path in closed:
            if not self._keep(layer, path, JOIN_MM):
                self.lines.append((layer, path))
        for path in chain(open_edges, self.join_mm):
            if not self._keep(layer, path, self.join_mm):
                self.lines.append((layer, path))

    def _faces(
        self, edges: Sequence[Segment], paths: Sequence[Run]
    ) -> tuple[list[Run], list[Segment]]:
        """Return closed paths and open edges; where a path stays open, its surroundings as faces.

        There, edges branch or are drawn twice, and the order of the file may have led astray.
        """
        self.budget.look()
        flat = [edge for path in paths for edge in path]
        net = Network(flat)
        number = 0
        by_path: list[range] = []
        for path in paths:
            by_path.append(range(number, number + len(path)))
            number += len(path)
        astray = {
            net.piece_of(numbers[0])
            for path, numbers in zip(paths, by_path, strict=True)
            if not self._closes(path, JOIN_MM)
        }
        closed = [
            path
            for path, numbers in zip(paths, by_path, strict=True)
            if net.piece_of(numbers[0]) not in astray
        ]
        branching = [k for k in range(len(flat)) if net.piece_of(k) in astray]
        faces, tails, doubled = net.faces(branching)
        self.left_out["doubled edge"] += doubled
        return [*closed, *faces], tails

    def _closes(self, path: Run, within_mm: float) -> bool:
        """Whether a path's ends meet and it encloses something."""
        gap = _gap(path)
        length = sum(s.length_mm for s in path)
        if gap > within_mm or (gap > JOIN_MM and length <= 4.0 * gap):
            return False
        area = abs(math.fsum(edge.area_term for edge in path))
        return area > SMALLEST_MM2 or length <= 4.0 * NARROW_MM or len(path) > 2

    def _keep(self, layer: str, path: Run, within_mm: float) -> bool:
        """Keep a path that is closed; return whether it is dealt with."""
        if not self._closes(path, within_mm):
            return False
        key = frozenset(edge_key(edge) for edge in path)
        if key in self._seen:
            self.left_out["doubled shape"] += 1
            return True
        self._seen.add(key)
        loop = _healed(path, self.gaps)
        points = loop.flatten(READ_FLAT_MM)
        area = Polygon(points) if len(points) > 2 else Polygon()
        self.budget.spend(len(path))
        if area.is_valid and area.area > SMALLEST_MM2:
            self.loops.append((layer, loop, area))
        else:
            self.left_out["speck" if area.is_valid else "shape that crosses itself"] += 1
        return True


def _gap(path: Sequence[Segment]) -> float:
    first = path[0]
    if len(path) == 1 and isinstance(first, Line):
        return math.inf
    return math.dist(path[-1].end, first.start)


def _healed(path: Sequence[Segment], gaps: list[float]) -> Loop:
    """Loop whose segments meet exactly, half-way between ends that nearly did."""
    if len(path) == 1 and isinstance(path[0], Arc) and path[0].is_circle:
        return Loop(path)
    nodes: list[Point] = []
    for before, here in zip((path[-1], *path[:-1]), path, strict=True):
        (ax, ay), (bx, by) = before.end, here.start
        gaps.append(math.dist(before.end, here.start))
        nodes.append(((ax + bx) / 2.0, (ay + by) / 2.0))
    following = nodes[1:] + nodes[:1]
    return Loop([_between(s, a, b) for s, a, b in zip(path, nodes, following, strict=True)])


def _between(segment: Segment, start: Point, end: Point) -> Segment:
    """The segment with its ends moved a little."""
    if isinstance(segment, Line):
        return Line(start, end)
    if isinstance(segment, Arc):
        if math.dist(segment.start, start) < 1e-9 and math.dist(segment.end, end) < 1e-9:
            return segment
        if start == end:
            return Arc(
                segment.center,
                segment.radius_mm,
                segment.start_rad,
                math.copysign(2.0 * math.pi, segment.sweep_rad),
            )
        return Arc.from_bulge(start, end, segment.bulge)
    (sx, sy), (ex, ey) = segment.start, segment.end
    one, two = segment.control1, segment.control2
    return Cubic(
        start,
        (one[0] + start[0] - sx, one[1] + start[1] - sy),
        (two[0] + end[0] - ex, two[1] + end[1] - ey),
        end,
    )
