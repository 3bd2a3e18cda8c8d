"""A loop of lines and arcs as arrays, for work on all of its segments, or many loops', at once."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from operator import attrgetter

import numpy as np
from numpy.typing import NDArray

from ...arrays import Indices, Points
from .segments import Arc, Line, Segment

__all__ = ["Floats", "LoopArrays", "arrays_of", "segments_of"]

Floats = NDArray[np.float64]

_START = attrgetter("start")


@dataclass(frozen=True, slots=True, eq=False)
class LoopArrays:
    """Closed chain of N segments of which M are arcs; the others are lines.

    ``corner`` (N, 2) is where each segment starts, in mm; it ends where the next starts.
    ``arc`` (M,) are the arcs' indices, ascending, with ``center`` (M, 2), ``radius`` (M,) in mm,
    ``start_rad`` and ``sweep_rad`` (M,).
    """

    corner: Points
    arc: Indices
    center: Points
    radius: Floats
    start_rad: Floats
    sweep_rad: Floats

    @classmethod
    def of_lines(cls, corner: Points) -> "LoopArrays":
        """Loop of straight lines through (N, 2) corners."""
        return cls(corner, NO_ARC, NO_POINT, NO_NUMBER, NO_NUMBER, NO_NUMBER)

    @property
    def signed_area_mm2(self) -> float:
        """Exact enclosed area, mm², positive for counter-clockwise loops."""
        # Near the origin numbers lose nothing to their size.
        x, y = (self.corner - self.corner[0]).T
        twice = float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
        # Between an arc and its chord lies a segment of the circle.
        bulge = self.radius**2 * (self.sweep_rad - np.sin(self.sweep_rad))
        return 0.5 * (twice + float(bulge.sum()))

    def reversed(self) -> "LoopArrays":
        """Return the same loop travelled the other way."""
        count = len(self.corner)
        # Segment i from corner i to i + 1 becomes the one from corner i + 1 back to i.
        corner = np.roll(self.corner[::-1], -(count - 1), axis=0)
        arc = count - 1 - self.arc[::-1]
        end = (self.start_rad + self.sweep_rad)[::-1]
        return LoopArrays(
            corner, arc, self.center[::-1], self.radius[::-1], end, -self.sweep_rad[::-1]
        )


NO_ARC = np.zeros(0, dtype=np.int64)
NO_POINT = np.zeros((0, 2))
NO_NUMBER = np.zeros(0)


def arrays_of(segments: Sequence[Segment]) -> LoopArrays | None:
    """Return segments as arrays, or None if one of them is neither line nor arc."""
    kinds = set(map(type, segments))
    if not kinds <= {Line, Arc}:
        return None
    count = len(segments)
    corner = np.fromiter(
        chain.from_iterable(map(_START, segments)), dtype=np.float64, count=2 * count
    ).reshape(-1, 2)
    if Arc not in kinds:
        return LoopArrays.of_lines(corner)
    arcs = [(i, s) for i, s in enumerate(segments) if isinstance(s, Arc)]
    return LoopArrays(
        corner,
        np.array([i for i, _ in arcs], dtype=np.int64),
        np.array([s.center for _, s in arcs], dtype=np.float64),
        np.array([s.radius_mm for _, s in arcs], dtype=np.float64),
        np.array([s.start_rad for _, s in arcs], dtype=np.float64),
        np.array([s.sweep_rad for _, s in arcs], dtype=np.float64),
    )


def segments_of(arrays: LoopArrays) -> tuple[Segment, ...]:
    """The lines, arcs and cubics that a loop's arrays stand for, in order."""
    corners = list(map(tuple, arrays.corner.tolist()))
    segments: list[Segment] = [
        Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    for i, (x, y), radius, start, sweep in zip(
        arrays.arc.tolist(),
        arrays.center.tolist(),
        arrays.radius.tolist(),
        arrays.start_rad.tolist(),
        arrays.sweep_rad.tolist(),
        strict=True,
    ):
        whole = math.copysign(2.0 * math.pi, sweep)
        segments[i] = Arc((x, y), radius, start, whole if abs(sweep - whole) < 1e-12 else sweep)
    return tuple(segments)
