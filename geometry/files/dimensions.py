"""Where a caliper can measure a part, and what it reads there: widths, holes, slots, corners."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..arrays import FloatArray, Point
from ..outline import Arc, Line, Loop, Profile

__all__ = ["Dimension", "dimensions_of"]

Kind = Literal["width", "height", "diameter", "radius", "slot"]
WIDEST_SLOT_MM = 15.0
"""Straight walls farther apart are the part's own sides (chosen)."""
LEAST_WALL_MM = 2.0
"""A caliper's jaws want so much of both walls (common practice, no source)."""
PARALLEL_RAD = 1e-3
ALIKE_MM = 0.005
"""Half of the last digit that a caliper shows."""
MOST_ALIKE = 24
"""More of one kind make a page nobody reads (chosen)."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """What is measured between two places, mm; of alike ones, how many there are.

    Of a "diameter" or "radius" ``start`` is the centre and ``end`` a place on the circle.
    """

    kind: Kind
    value_mm: float
    start: Point
    end: Point
    count: int = 1

    @property
    def words(self) -> str:
        """As drawings write it (ISO 129-1): “4× R6”, “Ø20”, “120”; hundredths at most."""
        value = f"{self.value_mm:.2f}".rstrip("0").rstrip(".")
        sign = {"diameter": "Ø", "radius": "R"}.get(self.kind, "")
        return f"{self.count}× {sign}{value}" if self.count > 1 else f"{sign}{value}"


def dimensions_of(profile: Profile) -> tuple[Dimension, ...]:
    """The dimensions of a part in its own axes: overall first, then holes, slots and corners.

    Alike holes, slots and corners are written once with their number.
    """
    x0, y0, x1, y1 = profile.bounds_mm
    found = [
        Dimension("width", x1 - x0, (x0, y0), (x1, y0)),
        Dimension("height", y1 - y0, (x1, y0), (x1, y1)),
    ]
    for kind in (_circles(profile), _slots(profile), _corners(profile)):
        found += _counted(kind)[:MOST_ALIKE]
    return tuple(found)


def _counted(found: list[Dimension]) -> list[Dimension]:
    """One for all that read the same."""
    alike: dict[int, list[Dimension]] = defaultdict(list)
    for one in found:
        alike[round(one.value_mm / (2.0 * ALIKE_MM))].append(one)
    return [
        Dimension(first.kind, first.value_mm, first.start, first.end, len(same))
        for same in alike.values()
        for first in same[:1]
    ]


def _circles(profile: Profile) -> list[Dimension]:
    found = []
    for loop in profile.loops:
        first = loop.segments[0]
        if loop.is_circle and isinstance(first, Arc):
            edge = first.at_angle(math.pi / 4.0)
            found.append(Dimension("diameter", 2.0 * first.radius_mm, first.center, edge))
    return found


def _corners(profile: Profile) -> list[Dimension]:
    """Round corners and bends; not those flatter than the part is long, which nobody measures."""
    x0, y0, x1, y1 = profile.bounds_mm
    arcs = [s for loop in profile.loops if not loop.is_circle for s in loop.segments]
    return [
        Dimension("radius", arc.radius_mm, arc.center, arc.point_at(0.5))
        for arc in arcs
        if isinstance(arc, Arc) and arc.radius_mm <= max(x1 - x0, y1 - y0)
    ]


def _slots(profile: Profile) -> list[Dimension]:
    """Pairs of parallel walls that face each other over a gap."""
    return [slot for loop in profile.loops for slot in _slots_of(loop)]


def _slots_of(loop: Loop) -> list[Dimension]:
    walls = [s for s in loop.segments if isinstance(s, Line) and s.length_mm >= LEAST_WALL_MM]
    if len(walls) < 2:
        return []
    start = np.array([wall.start for wall in walls])
    along = np.array([wall.end for wall in walls]) - start
    length = np.hypot(*along.T)
    direction = along / length[:, None]
    # Material lies left of every edge, so a gap lies right of it.
    right = np.column_stack((direction[:, 1], -direction[:, 0]))
    found: list[Dimension] = []
    taken: set[int] = set()
    for i in range(len(walls)):
        near = _facing(i, start, direction, length, right)
        if near is None or i in taken or near[0] in taken:
            continue
        taken |= {i, near[0]}
        middle, gap = near[1], near[2]
        (ax, ay), (bx, by) = middle.tolist(), (middle + gap * right[i]).tolist()
        found.append(Dimension("slot", gap, (ax, ay), (bx, by)))
    return found


def _facing(
    i: int, start: FloatArray, direction: FloatArray, length: FloatArray, right: FloatArray
) -> tuple[int, FloatArray, float] | None:
    """The nearest wall that faces one over a gap: its number, where on the one, and how far."""
    opposite = direction @ direction[i] < -math.cos(PARALLEL_RAD)
    gap = (start - start[i]) @ right[i]
    ends = (start + direction * length[:, None] - start[i]) @ direction[i]
    begins = (start - start[i]) @ direction[i]
    low, high = np.maximum(ends, 0.0), np.minimum(begins, length[i])
    fits = opposite & (gap > ALIKE_MM) & (gap < WIDEST_SLOT_MM) & (high - low >= LEAST_WALL_MM)
    if not fits.any():
        return None
    best = int(np.flatnonzero(fits)[np.argmin(gap[fits])])
    middle = start[i] + 0.5 * (low[best] + high[best]) * direction[i]
    return best, np.asarray(middle), float(gap[best])
