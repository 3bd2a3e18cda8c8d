"""Paths that hold a part until the end: bridges left in its outside, and lead-ins in the waste.

A bridge is a gap in the path, as wide as what is to stay and a kerf more. It lies where a file can
clean it away: on an edge with open waste before it, off corners, slots and fingers, and off the
corners that joints have cut. A lead-in begins beside the path, square to it, so that what the tool
does while it goes in happens in the waste.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from ..arrays import FloatArray, Point, Points
from ..errors import FileError
from ..outline.curves import Arc, Cubic, Line, Segment, turn_at
from ..tolerance import CORNER_RAD
from .drawing import Shape
from .solid import solid

__all__ = ["HoldRule", "held", "led_in", "unheld"]

STEP_MM = 0.5
"""Places along a path that are looked at for a bridge or a lead-in."""
OPEN_MM = 6.0
"""Waste before a bridge: a slot or a finger joint is narrower, a file goes in (an assumption)."""
CORNER_WIDTHS = 2.0
"""A bridge keeps so many of its own widths from a corner (common practice, no source)."""
OFF_FIT_MM = 5.0
"""Kept between a bridge and a corner that a joint has cut (an assumption)."""


@dataclass(frozen=True, slots=True)
class HoldRule:
    """How many bridges hold each part and how wide they stay, mm; length of lead-ins, mm.

    Zero bridges hold nothing; a lead-in of 0 begins on the path.
    """

    bridges: int = 0
    bridge_mm: float = 0.5
    lead_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no number of bridges and no length."""
        sizes = (self.bridge_mm, self.lead_mm)
        if self.bridges < 0 or not all(math.isfinite(s) and s >= 0.0 for s in sizes):
            raise FileError(
                "The number of bridges, their width and a lead-in's length are 0 or more. Type "
                "them again."
            )
        if self.bridges and self.bridge_mm <= 0.0:
            raise FileError("A bridge is wider than 0 mm. Type a width, or take no bridges.")

    @property
    def sentence(self) -> str:
        """What whoever cuts is told; empty where there is nothing to tell."""
        told = []
        if self.bridges:
            told.append(
                f"Parts are held by up to {self.bridges} bridges, {self.bridge_mm:g} mm wide: "
                "break them out and file the edge clean."
            )
        if self.lead_mm > 0.0:
            told.append(f"Cuts begin {self.lead_mm:g} mm beside the part, in the waste.")
        return " ".join(told)


def held(
    shape: Shape,
    rule: HoldRule,
    kerf_mm: float,
    others: BaseGeometry,
    fits: Sequence[Point] = (),
) -> tuple[Shape, ...]:
    """Return the outside of a part as paths with bridges between them, each with its lead-in.

    Where no place is good for a bridge there is none, and the path stays as it is.

    Parameters
    ----------
    shape
        A part's closed outside.
    rule
        How it is held.
    kerf_mm
        What the tool takes; a gap in the path is as much wider than the bridge.
    others
        What else lies on the sheet: lead-ins keep off it.
    fits
        Corners of the part that a joint has cut, where they lie.
    """
    path = _Path(shape.segments)
    places = path.sampled()
    open_to = _open(path, places, solid(shape.segments), OPEN_MM)
    good = open_to & _off_corners(path, places, CORNER_WIDTHS * rule.bridge_mm)
    if len(fits):
        at = path.at(places)
        near = np.hypot(*(at[:, None] - np.array(fits)[None]).transpose(2, 0, 1)).min(axis=1)
        good &= near > OFF_FIT_MM
    gap = rule.bridge_mm + kerf_mm
    middles = _spread(places[good], path.length_mm, rule.bridges, 2.0 * gap)
    if not middles:
        return (_led(shape, rule, path, others, outward=True),)
    ends = [(m + 0.5 * gap, n - 0.5 * gap) for m, n in _turns(middles, path.length_mm)]
    pieces = [replace(shape, segments=path.between(a, b), closed=False) for a, b in ends]
    return tuple(_with_lead(piece, rule, path.outward, others) for piece in pieces)


def led_in(shape: Shape, rule: HoldRule, others: BaseGeometry) -> Shape:
    """Return a hole's path begun beside it, within the hole, where there is room for that.

    Parameters
    ----------
    shape, rule
        The hole and how long a lead-in is.
    others
        What it must keep away from.
    """
    return _led(shape, rule, _Path(shape.segments), others, outward=False)


class _Path:
    """A closed chain, known by the length along it from its start, mm."""

    def __init__(self, segments: Sequence[Segment]) -> None:
        self.segments = tuple(segments)
        lengths = [s.length_mm for s in self.segments]
        self.starts = np.concatenate(([0.0], np.cumsum(lengths)))
        self.length_mm = float(self.starts[-1])
        area = math.fsum(s.area_term for s in self.segments)
        self.outward = 1.0 if area > 0.0 else -1.0
        """Sign of the way out to the right of the travel."""

    def sampled(self) -> FloatArray:
        """(N,) lengths at even steps."""
        count = max(math.ceil(self.length_mm / STEP_MM), 8)
        return np.arange(count) * self.length_mm / count

    def at(self, places: FloatArray) -> Points:
        """(N, 2) mm at lengths along the path."""
        return self._seen(places, lambda segment, t: segment.points_at(t))

    def normals(self, places: FloatArray) -> Points:
        """(N, 2) unit ways out of the enclosed material."""
        along = self._seen(places, lambda segment, t: segment.tangents_at(t))
        return self.outward * np.column_stack((along[:, 1], -along[:, 0]))

    def corners(self) -> FloatArray:
        """Lengths at which the path turns by more than a corner's least angle."""
        turned = []
        for k, segment in enumerate(self.segments):
            if abs(turn_at(self.segments[k - 1], segment)) > CORNER_RAD:
                turned.append(float(self.starts[k]))
        return np.array(turned)

    def between(self, low: float, high: float) -> tuple[Segment, ...]:
        """Segments from one length to another, past the start where it is greater."""
        found: list[Segment] = []
        for turn in (0.0, self.length_mm):
            for segment, start, end in zip(
                self.segments, self.starts + turn, self.starts[1:] + turn, strict=False
            ):
                a, b = max(low, float(start)), min(high, float(end))
                if b - a > 1e-6:
                    found.append(_piece(segment, a - float(start), b - float(start)))
        return tuple(found)

    def _seen(self, places: FloatArray, of: Callable[[Segment, Points], Points]) -> Points:
        """(N, 2) what is ``of`` a segment at its parameters, at (N,) lengths along the path."""
        places = places % self.length_mm
        which = np.searchsorted(self.starts[1:-1], places, side="right")
        found = np.empty((len(places), 2))
        for k in np.unique(which).tolist():
            own = which == k
            segment, along = self.segments[k], places[own] - self.starts[k]
            found[own] = of(segment, _parameters(segment, along))
        return found


def _parameters(segment: Segment, along_mm: FloatArray) -> FloatArray:
    """(N,) parameters at (N,) lengths from a segment's start."""
    if not isinstance(segment, Cubic):
        return along_mm / segment.length_mm
    t = np.linspace(0.0, 1.0, 257)
    travel = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(segment.points_at(t), axis=0).T))))
    return np.interp(along_mm / segment.length_mm, travel / travel[-1], t)


def _piece(segment: Segment, low: float, high: float) -> Segment:
    """A segment from one length along it to another."""
    if low <= 1e-9 and high >= segment.length_mm - 1e-9:
        return segment
    a, b = _parameters(segment, np.array([low, high])).tolist()
    if isinstance(segment, Cubic):
        return segment.between(a, b)
    if isinstance(segment, Arc):
        sweep = segment.sweep_rad
        return replace(segment, start_rad=segment.start_rad + a * sweep, sweep_rad=(b - a) * sweep)
    return Line(segment.point_at(a), segment.point_at(b))


def _open(
    path: _Path, places: FloatArray, body: shapely.Polygon, reach_mm: float
) -> NDArray[np.bool_]:
    """(N,) whether a way out square to the path is clear of the part itself for so far."""
    at, out = path.at(places), path.normals(places)
    tips = shapely.points(at + reach_mm * out)
    # A disc that touches the path there and lies in the waste: no nearer edge faces it.
    return np.asarray(shapely.distance(tips, body) > 0.9 * reach_mm)


def _off_corners(path: _Path, places: FloatArray, away_mm: float) -> NDArray[np.bool_]:
    corners = path.corners()
    if not len(corners):
        return np.ones(len(places), dtype=bool)
    off = np.abs(places[:, None] - corners[None])
    return np.asarray(np.minimum(off, path.length_mm - off).min(axis=1) > away_mm)


def _spread(good: FloatArray, length_mm: float, count: int, apart_mm: float) -> list[float]:
    """Lengths among good ones that lie as evenly as they can, none nearer than asked."""
    if not len(good) or not count:
        return []
    # Of every place for the first one that whose others lie nearest to where they should.
    wanted = np.arange(count) * length_mm / count
    best: tuple[float, list[float]] = (math.inf, [])
    for first in good[:: max(len(good) // 60, 1)]:
        at = (first + wanted) % length_mm
        off = np.abs(good[None] - at[:, None])
        off = np.minimum(off, length_mm - off)
        chosen = sorted({float(good[i]) for i in off.argmin(axis=1)})
        worst = float(off.min(axis=1).max())
        if _least_apart(chosen, length_mm) < apart_mm:
            worst += length_mm
        if worst < best[0]:
            best = (worst, chosen)
    kept: list[float] = []
    for place in best[1]:
        if all(_least_apart([place, other], length_mm) >= apart_mm for other in kept):
            kept.append(place)
    return sorted(kept)


def _least_apart(places: Sequence[float], length_mm: float) -> float:
    if len(places) < 2:
        return length_mm
    gaps = [b - a for a, b in pairwise(sorted(places))]
    return min(*gaps, length_mm - (max(places) - min(places)))


def _turns(middles: Sequence[float], length_mm: float) -> Iterator[tuple[float, float]]:
    """From each bridge to the next, once round."""
    yield from pairwise((*middles, middles[0] + length_mm))


def _led(
    shape: Shape,
    rule: HoldRule,
    path: _Path,
    others: BaseGeometry,
    *,
    outward: bool,
) -> Shape:
    """A closed path begun where a lead-in has room; the path itself where it has none nowhere."""
    if rule.lead_mm <= 0.0:
        return shape
    places = path.sampled()
    body = solid(shape.segments)
    at = path.at(places)
    tips = at + (1.0 if outward else -1.0) * rule.lead_mm * path.normals(places)
    here = shapely.points(tips)
    free = shapely.distance(here, body.exterior) > 0.9 * rule.lead_mm
    free &= shapely.contains(body, here) != outward
    if outward:
        # Where nothing lies near, the distance is no number.
        free &= ~(shapely.distance(here, others) <= rule.lead_mm)
    away = _off_corners(path, places, rule.lead_mm)
    if not (free & away).any():
        return shape
    k = int(np.flatnonzero(free & away)[0])
    round_ = path.between(float(places[k]), float(places[k]) + path.length_mm)
    lead = Line((float(tips[k, 0]), float(tips[k, 1])), round_[0].start)
    return replace(shape, segments=(lead, *round_), closed=False)


def _with_lead(piece: Shape, rule: HoldRule, outward: float, others: BaseGeometry) -> Shape:
    """An open path begun in the waste beside its start, where there is room."""
    first = piece.segments[0]
    x, y = first.tangent_at(0.0)
    way = outward * rule.lead_mm
    tip = (first.start[0] + way * y, first.start[1] - way * x)
    if rule.lead_mm <= 0.0 or shapely.distance(shapely.Point(tip), others) <= rule.lead_mm:
        return piece
    return replace(piece, segments=(Line(tip, first.start), *piece.segments))


def unheld(names: Sequence[str], shapes: Sequence[Shape], rule: HoldRule) -> tuple[int, ...]:
    """Numbers of parts, one a name, whose outside found fewer places for bridges than asked.

    Parameters
    ----------
    names, shapes
        What each part is called, and its paths as cut, bridges left out.
    rule
        How many bridges are asked and how broad.
    """
    if not rule.bridges:
        return ()
    counted = Counter(s.name for s in shapes if s.operation == "outside" and not s.closed)
    wanted = Counter({name: rule.bridges * count for name, count in Counter(names).items()})
    return tuple(names.index(n) for n in dict.fromkeys(names) if counted[n] < wanted[n])
