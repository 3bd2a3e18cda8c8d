"""Faces that edges enclose together where more than two meet, as squares that share sides."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from ...arrays import Point
from ...outline import Segment
from .chain import JOIN_MM

__all__ = ["Network", "edge_key"]

Run = tuple[Segment, ...]
SHARE = 0.05
"""Of an edge: so far along it, it has left its tangent to the side it bends to."""


def edge_key(edge: Segment) -> tuple[float, ...]:
    """The same for the same edge, whichever way it runs; to a ten-thousandth of a mm."""
    marks = [*sorted((edge.start, edge.end)), edge.point_at(0.5)]
    if edge.start == edge.end:
        # All points of a whole circle are alike: its middle and size tell it.
        far = edge.point_at(0.5)
        marks = [
            ((edge.start[0] + far[0]) / 2.0, (edge.start[1] + far[1]) / 2.0),
            (edge.length_mm, 0),
        ]
    return tuple(round(c, 4) + 0.0 for p in marks for c in p)


class Network:
    """Edges with the nodes at which they meet."""

    def __init__(self, edges: Sequence[Segment]) -> None:
        self.edges = edges
        self._nodes: dict[tuple[int, int], list[tuple[Point, int]]] = defaultdict(list)
        self._count = 0
        self.ends = [(self._node(e.start), self._node(e.end)) for e in edges]
        self._root = list(range(self._count))
        for one, other in self.ends:
            self._root[self._find(one)] = self._find(other)

    def _node(self, point: Point) -> int:
        x, y = (math.floor(c / JOIN_MM) for c in point)
        for i in (x, x - 1, x + 1):
            for j in (y, y - 1, y + 1):
                for place, node in self._nodes.get((i, j), ()):
                    if math.dist(place, point) <= JOIN_MM:
                        return node
        self._nodes[x, y].append((point, self._count))
        self._count += 1
        return self._count - 1

    def _find(self, node: int) -> int:
        while self._root[node] != node:
            self._root[node] = self._root[self._root[node]]
            node = self._root[node]
        return node

    def piece_of(self, edge: int) -> int:
        """Return a number that all edges share that hang together."""
        return self._find(self.ends[edge][0])

    def faces(self, among: Sequence[int]) -> tuple[list[Run], list[Segment], int]:
        """Return the faces that some edges enclose, edges round none, and how many are twice.

        The faces run counter-clockwise and do not overlap.
        """
        single: dict[tuple[float, ...], int] = {}
        for number in among:
            single.setdefault(edge_key(self.edges[number]), number)
        used, tails = self._pruned(list(single.values()))
        around = self._around(used)
        place = {
            half: (node, k) for node, halves in around.items() for k, half in enumerate(halves)
        }
        faces = []
        done: set[tuple[int, bool]] = set()
        for first in place:
            face: list[Segment] = []
            half = first
            while half not in done:
                done.add(half)
                number, forward = half
                edge = self.edges[number]
                face.append(edge if forward else edge.reversed())
                # At its far end, the next edge clockwise from the way back.
                node, k = place[number, not forward]
                half = around[node][k - 1]
            if face and math.fsum(edge.area_term for edge in face) > 0.0:
                faces.append(tuple(face))
        return faces, [self.edges[number] for number in tails], len(among) - len(single)

    def _pruned(self, among: list[int]) -> tuple[list[int], list[int]]:
        """Edges that may lie round a face, and the tails that cannot."""
        at: dict[int, set[int]] = defaultdict(set)
        for number in among:
            for node in self.ends[number]:
                at[node].add(number)
        tails: list[int] = []
        waiting = [node for node, numbers in at.items() if len(numbers) == 1]
        while waiting:
            node = waiting.pop()
            for number in tuple(at[node]) if len(at[node]) == 1 else ():
                if self.ends[number][0] == self.ends[number][1]:
                    continue
                tails.append(number)
                for end in self.ends[number]:
                    at[end].discard(number)
                    if len(at[end]) == 1:
                        waiting.append(end)
        cut = set(tails)
        return [number for number in among if number not in cut], sorted(tails)

    def _around(self, among: Sequence[int]) -> dict[int, list[tuple[int, bool]]]:
        """For each node its outgoing halves, counter-clockwise: an edge, and whether forwards."""
        around: dict[int, list[tuple[tuple[float, float], tuple[int, bool]]]] = defaultdict(list)
        for number in among:
            edge = self.edges[number]
            around[self.ends[number][0]].append((_leaving(edge), (number, True)))
            around[self.ends[number][1]].append((_leaving(edge.reversed()), (number, False)))
        return {node: [half for _, half in sorted(halves)] for node, halves in around.items()}


def _leaving(edge: Segment) -> tuple[float, float]:
    """Direction in which an edge leaves its start, rad, and how much it then bends to the left."""
    dx, dy = edge.tangent_at(0.0)
    away = edge.point_at(SHARE)
    chord = math.atan2(away[1] - edge.start[1], away[0] - edge.start[0])
    direction = math.atan2(dy, dx)
    return round(direction, 6), math.remainder(chord - direction, 2.0 * math.pi)
