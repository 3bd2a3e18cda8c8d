"""The filled section of a mesh by a plane of constant height."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ...arrays import Points
from .frames import IntArray
from .rim import crossings, is_mixed
from .winding import region, snap

__all__ = ["Pieces", "Section", "section", "section_pieces"]


@dataclass(frozen=True, slots=True)
class Section:
    """A filled section, and what had to be mended to fill it."""

    geometry: BaseGeometry
    widest_gap_mm: float = 0.0
    turned_faces: bool = False

    @property
    def is_closed(self) -> bool:
        """Whether the mesh closed by itself at this height."""
        return self.widest_gap_mm == 0.0


def _weld(points: Points, triangles: IntArray) -> tuple[Points, IntArray]:
    """Merge equal corners of the triangles given; seams of an unwelded mesh join up."""
    used, corner = np.unique(triangles, return_inverse=True)
    places = snap(points[used])
    _, flat = np.unique(places[:, 0] + 1j * places[:, 1], return_inverse=True)
    _, tall = np.unique(places[:, 2], return_inverse=True)
    key = flat.astype(np.int64) * (int(tall.max(initial=0)) + 1) + tall
    _, first, same = np.unique(key, return_index=True, return_inverse=True)
    return points[used][first], same[corner].reshape(triangles.shape)


class Pieces(NamedTuple):
    """Directed section pieces, material on the left: start and end numbers, and their places."""

    start: IntArray
    end: IntArray
    places: Points

    @property
    def balance(self) -> IntArray:
        """(N,) how many more pieces leave a place than reach it; all 0 in a closed mesh."""
        count = len(self.places)
        leaving = np.bincount(self.start, minlength=count)
        return leaving - np.bincount(self.end, minlength=count)


def section_pieces(points: Points, triangles: IntArray, level_mm: float) -> Pieces:
    """Where a plane of constant height cuts a mesh; seams of an unwelded one are joined.

    Parameters
    ----------
    points, triangles
        (N, 3) mm in the plane's axes and (M, 3) numbers of them.
    level_mm
        Height z of the plane.
    """
    above = points[triangles, 2] >= level_mm
    crossing = is_mixed(above)
    found = _pieces(points, triangles[crossing], level_mm)
    if found.balance.any():
        found = _pieces(*_weld(points, triangles[crossing]), level_mm)
    return found


def _pieces(points: Points, corners: IntArray, level_mm: float) -> Pieces:
    above = points[corners, 2] >= level_mm
    # One corner is alone on its side; the plane crosses the two edges that leave it.
    first, second, third = above.T
    alone_above = ~(first & second | second & third | third & first)
    alone = np.where(first == alone_above, 0, np.where(second == alone_above, 1, 2))
    row = np.arange(len(corners))
    a, b, c = (corners[row, (alone + i) % 3] for i in range(3))
    count = np.int64(len(points))
    ends = []
    for other in (b, c):
        low, high = np.where(alone_above, other, a), np.where(alone_above, a, other)
        ends.append(low * count + high)
    start, end = np.where(alone_above, ends, ends[::-1])
    keys, number = np.unique(np.concatenate((start, end)), return_inverse=True)
    places = snap(crossings(points, keys // count, keys % count, level_mm))
    return Pieces(number[: len(start)], number[len(start) :], places)


def _chains(start: IntArray, end: IntArray) -> list[tuple[list[int], list[int]]]:
    """Follow pieces end to end whatever their direction: (places, ±1 for each piece) per chain."""
    touching: dict[int, list[int]] = {}
    for piece, (s, e) in enumerate(zip(start.tolist(), end.tolist(), strict=True)):
        touching.setdefault(s, []).append(piece)
        touching.setdefault(e, []).append(piece)
    used = np.zeros(len(start), dtype=bool)
    chains = []
    # Loose ends first, so that an open chain is never entered in its middle.
    for node in sorted(touching, key=lambda n: (len(touching[n]) != 1, n)):
        while any(not used[p] for p in touching[node]):
            here, places, signs = node, [node], []
            while free := [p for p in touching[here] if not used[p]]:
                piece = free[0]
                used[piece] = True
                forward = int(start[piece]) == here
                here = int(end[piece]) if forward else int(start[piece])
                places.append(here)
                signs.append(1 if forward else -1)
            chains.append((places, signs))
    return chains


def _close(chains: list[Points]) -> tuple[list[Points], float]:
    """Join open chains into rings, nearest ends first; also the widest gap bridged."""
    rings, widest = [], 0.0
    while chains:
        ring = chains.pop()
        while True:
            home = float(np.hypot(*(ring[0] - ring[-1])))
            best = (home, -1, False)
            for i, other in enumerate(chains):
                for flip in (False, True):
                    away = float(np.hypot(*(other[-1 if flip else 0] - ring[-1])))
                    best = min(best, (away, i, flip))
            widest = max(widest, best[0])
            if best[1] < 0:
                break
            other = chains.pop(best[1])
            ring = np.concatenate((ring, other[::-1] if best[2] else other))
        rings.append(ring)
    return rings, widest


def _edges(rings: list[Points]) -> tuple[Points, Points]:
    start = np.concatenate(rings)
    end = np.concatenate([np.roll(r, -1, axis=0) for r in rings])
    return start, end


def _mend(start: IntArray, end: IntArray, places: Points) -> Section:
    """Section of a mesh with holes or faces turned inside out: each ring filled by its own."""
    closed, loose, turned = [], [], False
    for numbers, signs in _chains(start, end):
        turned |= abs(sum(signs)) != len(signs)
        points = places[numbers] if sum(signs) >= 0 else places[numbers[::-1]]
        if numbers[0] == numbers[-1]:
            closed.append(points[:-1])
        else:
            loose.append(points)
    rings, widest = _close(loose)
    edges = _edges(closed + rings)
    return Section(region(*edges, np.ones(len(edges[0]))), widest, turned)


def _single_ring(start: IntArray, end: IntArray, places: Points) -> shapely.Polygon | None:
    """The common case, one ring that does not cross itself, without any overlay."""
    if len(np.unique(start)) != len(start):
        return None
    following = np.zeros(len(places), dtype=np.int64)
    following[start] = end
    onward = following.tolist()
    ring = [int(start[0])]
    while (node := onward[ring[-1]]) != ring[0]:
        ring.append(node)
    if len(ring) != len(start):
        return None
    polygon = shapely.Polygon(places[ring]) if len(ring) > 2 else None
    return polygon if polygon is not None and polygon.is_valid else None


def section(points_mm: Points, triangles: IntArray, level_mm: float) -> Section:
    """Fill the section of a mesh at height ``level_mm`` along z.

    A vertex at exactly that height counts as above it, so no case is degenerate: what is
    returned is the section a hair below. Solids that overlap are joined; hollows stay open.

    Parameters
    ----------
    points_mm : (N, 3) float
        Vertices; z is the height.
    triangles : (M, 3) int
        Corner numbers, counter-clockwise from outside; a mesh turned inside out does as well.
    level_mm : float
        Height of the plane.
    """
    pieces = section_pieces(points_mm, triangles, level_mm)
    start, end, places = pieces
    if len(start) == 0:
        return Section(shapely.Polygon())
    if pieces.balance.any():
        return _mend(start, end, places)
    ring = _single_ring(start, end, places)
    if ring is not None:
        return Section(ring)
    return Section(region(places[start], places[end], np.ones(len(start))))
