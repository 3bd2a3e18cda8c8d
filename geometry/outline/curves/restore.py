"""Put true segments back into a region that was computed on polygons.

Booleans and offsets are done by shapely on flattened loops, since that is robust. Every interval of
the result's boundary then comes from one of the segments that went in; it is found by place and
replaced by that very piece. Where two pieces meet, the corner is the exact crossing of their
curves. Nothing is guessed from the polygon's corners.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from ...arrays import Point, Points
from ...errors import OutlineError
from ...numeric import signed_area
from ...tolerance import REGION_FLAT_MM
from .crossings import crossings
from .pieces import piece_between, same_curve
from .profile import Loop, Profile
from .segments import Arc, Cubic, Line, Segment

__all__ = ["REGION_FLAT_MM", "restore"]

TINY_MM = 1e-7
"""Corners nearer than this are one."""


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """Neighbouring edges of a ring that come from one source (None: from none of them)."""

    source: Segment | None
    points: Points  # (K, 2), both ends included


def restore(
    region: BaseGeometry,
    sources: Sequence[Segment],
    tolerance_mm: float = 3.0 * REGION_FLAT_MM,
    smallest_mm2: float = 1e-6,
) -> tuple[Profile, ...]:
    """Return the region's pieces, largest first, made of true segments.

    Parameters
    ----------
    region
        Polygon or MultiPolygon computed from ``sources`` flattened within `REGION_FLAT_MM`.
    sources
        Every segment that could have become boundary.
    tolerance_mm
        How far a corner of the region may lie from the source it belongs to.
    smallest_mm2
        Pieces and holes below this are rounding and dropped.
    """
    chords = _Chords(sources)
    profiles = []
    for polygon in shapely.get_parts(region):
        if polygon.geom_type != "Polygon" or polygon.area < smallest_mm2:
            continue
        inner = [r for r in polygon.interiors if shapely.Polygon(r).area > smallest_mm2]
        profiles.append(
            Profile(
                _checked(polygon.exterior, chords, tolerance_mm),
                tuple(_checked(ring, chords, tolerance_mm) for ring in inner),
            )
        )
    return tuple(sorted(profiles, key=lambda p: -p.area_mm2))


class _Chords:
    """The flattened sources in a search tree, and distances from their true curves."""

    def __init__(self, sources: Sequence[Segment]) -> None:
        self.sources = sources
        straight = [i for i, source in enumerate(sources) if isinstance(source, Line)]
        # Lines are their own chords; taking them in one go is what keeps large outlines quick.
        starts = [np.array([sources[i].start for i in straight]).reshape(-1, 2)]
        ends = [np.array([sources[i].end for i in straight]).reshape(-1, 2)]
        owners = [np.array(straight, dtype=np.int64)]
        for i, source in enumerate(sources):
            if isinstance(source, Line):
                continue
            points = np.vstack((source.flatten(REGION_FLAT_MM), source.end))
            starts.append(points[:-1])
            ends.append(points[1:])
            owners.append(np.full(len(points) - 1, i))
        self.start, self.end = np.concatenate(starts), np.concatenate(ends)
        self.owner = np.concatenate(owners)
        self.tree = shapely.STRtree(shapely.linestrings(np.stack((self.start, self.end), axis=1)))
        # A straight curve is kept as a point and a normal, a round one as a centre and a radius.
        self.round = np.array([isinstance(s, Arc) for s in sources])
        self.center = np.array([s.center if isinstance(s, Arc) else s.start for s in sources])
        self.radius = np.array([s.radius_mm if isinstance(s, Arc) else 0.0 for s in sources])

    def distance(self, chord: NDArray[np.int64], points: Points) -> Points:
        """(M,) distance of points from the true curve that a chord belongs to."""
        owner = self.owner[chord]
        offset = points - self.center[owner]
        around = np.abs(np.hypot(*offset.T) - self.radius[owner])
        along = self.end[chord] - self.start[chord]
        length = np.maximum(np.hypot(*along.T), 1e-300)
        away = points - self.start[chord]
        beside = np.abs(along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0]) / length
        return np.where(self.round[owner], around, beside)

    def owners(self, start: Points, end: Points, tolerance_mm: float) -> list[list[int]]:
        """For each edge the sources it can come from, best first.

        Parameters
        ----------
        start, end
            (N, 2) ends of the edges, mm.
        tolerance_mm
            How far an edge may lie off its source.
        """
        middle = (start + end) / 2.0
        edge, chord = self.tree.query(
            shapely.points(middle), predicate="dwithin", distance=tolerance_mm
        )
        away = np.maximum(self.distance(chord, start[edge]), self.distance(chord, end[edge]))
        keep = away <= tolerance_mm
        edge, chord, away = edge[keep], chord[keep], away[keep]
        found: list[list[int]] = [[] for _ in range(len(start))]
        for i in np.lexsort((away, edge)):
            owner = int(self.owner[chord[i]])
            if owner not in found[edge[i]]:
                found[edge[i]].append(owner)
        return found


def _checked(ring: shapely.LinearRing, chords: _Chords, tolerance_mm: float) -> Loop:
    """Return the loop of a ring, or the ring itself where the loop encloses another area.

    Neither may differ by more than a seam of the tolerance's width all round.
    """
    area = shapely.Polygon(ring).area
    try:
        loop = _loop(ring, chords, tolerance_mm)
        if abs(abs(loop.signed_area_mm2) - area) <= tolerance_mm * ring.length + 1e-9:
            return loop
    except OutlineError:
        pass
    return Loop.through(shapely.get_coordinates(ring)[:-1])


def _loop(ring: shapely.LinearRing, chords: _Chords, tolerance_mm: float) -> Loop:
    points = shapely.get_coordinates(ring)[:-1]
    apart = np.hypot(*(points - np.roll(points, 1, axis=0)).T)
    points = points[apart > TINY_MM]
    runs = _runs(points, chords, tolerance_mm)
    if len(runs) == 1:
        source = runs[0].source
        if isinstance(source, Arc):
            turn = math.copysign(2.0 * math.pi, signed_area(points))
            start = math.atan2(points[0, 1] - source.center[1], points[0, 0] - source.center[0])
            return Loop((Arc(source.center, source.radius_mm, start, turn),))
        return Loop.through(points)
    corners = [
        _corner(here, following) for here, following in zip(runs, runs[1:] + runs[:1], strict=True)
    ]
    pieces = []
    for i, run in enumerate(runs):
        if math.dist(corners[i - 1], corners[i]) > TINY_MM or len(run.points) > 2:
            piece = piece_between(run.source, run.points, corners[i - 1], corners[i])
            if _leaves(piece, run, tolerance_mm):
                raise OutlineError(
                    "An arc bent to meet its neighbour leaves its own circle. Move the two "
                    "shapes a little apart."
                )
            pieces.append(piece)
    return Loop(tuple(pieces))


def _leaves(piece: Segment, run: _Run, tolerance_mm: float) -> bool:
    """Whether an arc that was bent to meet its corners leaves the places it is to go through.

    Nearly a whole circle swings round when its two ends, close together, move a little.
    """
    source = run.source
    if not (isinstance(piece, Arc) and isinstance(source, Arc)) or piece.center == source.center:
        return False
    away = np.abs(np.hypot(*(run.points - piece.center).T) - piece.radius_mm)
    return bool(away.max() > tolerance_mm + REGION_FLAT_MM)


def _runs(points: Points, chords: _Chords, tolerance_mm: float) -> list[_Run]:
    """Cut a ring where its source changes."""
    count = len(points)
    owners = chords.owners(points, np.roll(points, -1, axis=0), tolerance_mm)
    chosen = _choose(owners)
    curves = [None if o < 0 else chords.sources[o] for o in chosen]
    changes = [
        i
        for i in range(count)
        if (chosen[i] != chosen[i - 1] and not same_curve(curves[i], curves[i - 1]))
        or curves[i] is None
    ]
    if not changes:
        return [_Run(curves[0], points)]
    runs = []
    for first, last in zip(changes, [*changes[1:], changes[0] + count], strict=True):
        indices = np.arange(first, last + 1) % count
        runs.append(_Run(curves[first], points[indices]))
    return runs


def _choose(owners: list[list[int]]) -> list[int]:
    """One source an edge: the one that also fits its neighbours, so that runs stay long."""
    chosen = [candidates[0] if candidates else -1 for candidates in owners]
    for _ in range(2):
        for i, candidates in enumerate(owners):
            if len(candidates) > 1 and chosen[i] != chosen[i - 1] and chosen[i - 1] in candidates:
                chosen[i] = chosen[i - 1]
    return chosen


def _corner(here: _Run, following: _Run) -> Point:
    """Where one run ends and the next begins."""
    near = (float(following.points[0, 0]), float(following.points[0, 1]))
    a, b = here.source, following.source
    if a is None or b is None:
        return near
    for end in (a.start, a.end):
        for start in (b.start, b.end):
            # An untouched corner of the sources stays exactly where it was.
            if math.dist(end, start) < 1e-9 and math.dist(end, near) < 2.0 * REGION_FLAT_MM:
                return end
    found = crossings(a, b, near)
    if not found:
        return near
    best = min(found, key=lambda p: math.dist(p, near))
    return best if math.dist(best, near) < _reach_mm(a, b) else near


def _reach_mm(a: Segment, b: Segment) -> float:
    """How far flattening can shift a crossing: far along the curve where they nearly touch."""
    radius = max((s.radius_mm for s in (a, b) if isinstance(s, Arc)), default=10.0)
    bent = any(isinstance(s, Arc | Cubic) for s in (a, b))
    return (
        2.0 * math.sqrt(2.0 * radius * REGION_FLAT_MM) + 10.0 * REGION_FLAT_MM
        if bent
        else 10.0 * REGION_FLAT_MM
    )
