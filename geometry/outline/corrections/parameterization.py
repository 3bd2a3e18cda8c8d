"""An outline as the numbers that may move, and the outline those numbers make.

Nodes move freely, so a loop stays closed whatever happens. An arc between two nodes bulges by its
sagitta, a cubic's handles ride on their nodes, a whole circle has a centre and a radius. Every
number is a length in mm, so the smallest change of the numbers is about the smallest movement.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import FloatArray
from ..curves import Arc, Cubic, Line, Loop, Profile, Segment

__all__ = ["Numbers", "Parameterization", "SegmentParameters"]

Numbers = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class SegmentParameters:
    """Where one segment's numbers are: its end nodes and what is its own.

    ``first`` and ``last`` are the places of the nodes' x (a whole circle has none, -1), ``own`` the
    first place of its own numbers, ``chord_mm`` its first chord, which turns a bulge to a sagitta.
    """

    loop: int
    segment: Segment
    first: int
    last: int
    own: int
    chord_mm: float

    @property
    def is_circle(self) -> bool:
        """Whether it goes all the way round."""
        return self.first < 0

    def numbers(self) -> list[int]:
        """Indices of every number of x that the segment depends on."""
        own = {Line: 0, Arc: 3 if self.is_circle else 1, Cubic: 4}[type(self.segment)]
        ends = [] if self.is_circle else [self.first, self.first + 1, self.last, self.last + 1]
        return [*ends, *range(self.own, self.own + own)]

    # What follows is written for complex numbers too: a step along the imaginary axis gives exact
    # derivatives (Squire and Trapp 1998), so there are no absolute values or angles in it.

    def chord(self, x: Numbers) -> Numbers:
        """(2,) mm from its first node to its last, of numbers x."""
        return x[self.last : self.last + 2] - x[self.first : self.first + 2]

    def bulge(self, x: Numbers) -> complex:
        """tan(sweep / 4) of an arc, of numbers x."""
        return complex(2.0 * x[self.own] / self.chord_mm)

    def radius(self, x: Numbers) -> complex:
        """Radius, mm, of an arc or circle, of numbers x."""
        if self.is_circle:
            return complex(x[self.own + 2])
        b, chord = self.bulge(x), self.chord(x)
        sign = math.copysign(1.0, b.real)
        return complex(np.sqrt(chord @ chord) * (1.0 + b * b) / (4.0 * b) * sign)

    def center(self, x: Numbers) -> Numbers:
        """(2,) centre, mm, of an arc or circle, of numbers x."""
        if self.is_circle:
            return x[self.own : self.own + 2]
        b, (dx, dy) = self.bulge(x), self.chord(x)
        offset = (1.0 - b * b) / (4.0 * b)
        middle = (x[self.first : self.first + 2] + x[self.last : self.last + 2]) / 2.0
        return middle + offset * np.array([-dy, dx])

    def tangent(self, x: Numbers, at_end: bool) -> Numbers:
        """(2,) unit direction of travel at one end."""
        if isinstance(self.segment, Cubic):
            along = -x[self.own + 2 : self.own + 4] if at_end else x[self.own : self.own + 2]
        elif isinstance(self.segment, Arc):
            # The tangent leaves the chord by half the sweep, twice the angle whose tangent is b.
            b, (dx, dy) = self.bulge(x), self.chord(x)
            c, s = (1.0 - b * b) / (1.0 + b * b), 2.0 * b / (1.0 + b * b)
            s = s if at_end else -s
            along = np.array([c * dx - s * dy, s * dx + c * dy])
        else:
            along = self.chord(x)
        return along / np.sqrt(along @ along)


class Parameterization:
    """The numbers of one profile."""

    def __init__(self, profile: Profile) -> None:
        """Lay out the numbers loop by loop."""
        self.profile = profile
        numbers: list[float] = []
        self.places: list[SegmentParameters] = []
        for index, loop in enumerate(profile.loops):
            self.places.extend(_loop_places(index, loop, numbers))
        self.start: FloatArray = np.array(numbers)

    def joints(self) -> Iterator[tuple[SegmentParameters, SegmentParameters]]:
        """Every segment's parameters with those of the one that follows it in its loop."""
        for index in range(len(self.profile.loops)):
            mine = [p for p in self.places if p.loop == index]
            if len(mine) > 1:
                yield from zip(mine, mine[1:] + mine[:1], strict=True)

    def movement_mm(self, x: FloatArray) -> float:
        """How far the node, bulge or circle that moves furthest moves."""
        moves = [0.0]
        for p in self.places:
            change = x - self.start
            if p.is_circle:
                shift = math.hypot(change[p.own], change[p.own + 1])
                moves.append(shift + abs(change[p.own + 2]))
                continue
            moves.append(math.hypot(change[p.first], change[p.first + 1]))
            if isinstance(p.segment, Arc):
                moves.append(abs(change[p.own]))
        return float(max(moves))

    def profile_of(self, x: FloatArray) -> Profile:
        """The profile of numbers x."""
        loops = []
        for index in range(len(self.profile.loops)):
            loops.append(Loop([_segment(p, x) for p in self.places if p.loop == index]))
        return Profile(loops[0], tuple(loops[1:]))


def _loop_places(index: int, loop: Loop, numbers: list[float]) -> Iterator[SegmentParameters]:
    segments = loop.segments
    if len(segments) == 1 and isinstance(segments[0], Arc):
        circle = segments[0]
        yield SegmentParameters(index, circle, -1, -1, len(numbers), 0.0)
        numbers.extend((*circle.center, circle.radius_mm))
        return
    base = len(numbers)
    for segment in segments:
        numbers.extend(segment.start)
    for k, segment in enumerate(segments):
        first, last = base + 2 * k, base + 2 * ((k + 1) % len(segments))
        chord = math.dist(segment.start, segment.end)
        yield SegmentParameters(index, segment, first, last, len(numbers), chord or 1.0)
        if isinstance(segment, Arc):
            numbers.append(segment.bulge * chord / 2.0)
        elif isinstance(segment, Cubic):
            for handle, node in (
                (segment.control1, segment.start),
                (segment.control2, segment.end),
            ):
                numbers.extend((handle[0] - node[0], handle[1] - node[1]))


def _segment(place: SegmentParameters, x: FloatArray) -> Segment:
    own = [float(v) for v in x[place.own : place.own + 4]]
    if place.is_circle:
        assert isinstance(place.segment, Arc)
        sweep = place.segment.sweep_rad
        return Arc((own[0], own[1]), own[2], place.segment.start_rad, sweep)
    (sx, sy), (ex, ey) = x[place.first : place.first + 2], x[place.last : place.last + 2]
    start, end = (float(sx), float(sy)), (float(ex), float(ey))
    if isinstance(place.segment, Arc):
        return Arc.from_bulge(start, end, 2.0 * own[0] / place.chord_mm)
    if isinstance(place.segment, Cubic):
        one = (start[0] + own[0], start[1] + own[1])
        return Cubic(start, one, (end[0] + own[2], end[1] + own[3]), end)
    return Line(start, end)
