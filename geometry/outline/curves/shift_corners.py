"""Where the moved edges of chains with arcs or very sharp corners meet, all corners at once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...arrays import Indices, Points
from ...tolerance import REGION_FLAT_MM
from .loop_arrays import Floats
from .meet import meet_circles, meet_line_and_circle

__all__ = ["FOLDED", "LEAST_MM", "MITRE_LIMIT", "Flags", "LoopChain", "MovedEdges"]

MITRE_LIMIT = 4.0
"""Sharp outside corners run out to this many offsets, so down to 29°; past it they are cut off."""
ON_CURVE_MM = 1e-8
"""A mitre this near to an arc is on it."""
FOLDED = 1e-9
"""MovedEdges that double back on themselves: 1 + the cosine of their turn is smaller than this."""
LEAST_MM = 1e-6
"""MovedEdges that would become shorter than this are left to the slower way."""

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class LoopChain:
    """Many loops end to end: N segments, M of them arcs; see `LoopArrays`.

    ``first`` (L + 1,) is where each loop begins. ``before`` and ``after`` (N,) are the neighbours
    within the same loop.
    """

    corner: Points
    arc: Indices
    center: Points
    radius: Floats
    start_rad: Floats
    sweep_rad: Floats
    first: Indices
    before: Indices
    after: Indices


class MovedEdges:
    """Moved edges of a chain with arcs, and where they meet."""

    def __init__(self, chain: LoopChain, u: Points, v: Points, radius: Floats, d: float) -> None:
        self.chain, self.u, self.v, self.radius, self.d = chain, u, v, radius, d
        self.number = np.full(len(chain.corner), -1)
        self.number[chain.arc] = np.arange(len(chain.arc))

    def corners(
        self, meet: Points, outward: Flags, sharp: Flags, reach: Floats, bad: Flags
    ) -> tuple[Points, Points, tuple[Indices, Points]]:
        """Return where edges start and, by the corner, where the ones before them end.

        Out of a corner beside a tightly bent arc the path runs on along the arc's tangent, and
        where a mitre would reach too far it is cut off square. The extra corners of both come with
        the index of the segment they stand before.

        Parameters
        ----------
        meet
            (N, 2) mm where neighbouring edges meet once moved.
        outward, sharp
            (N,) which corners point outwards, and which are no smooth joints.
        reach
            (N,) how far a mitre stands out, mm.
        bad
            (N,) is set where an edge vanishes.
        """
        chain, number = self.chain, self.number
        at = np.flatnonzero((number >= 0) | (number[chain.before] >= 0) | sharp)
        here, prior = number[at], number[chain.before[at]]
        least = np.minimum(self._radius(here), self._radius(prior))
        off = reach[at] ** 2 / (2.0 * np.maximum(least, LEAST_MM))
        runs = (outward[at] & (off >= REGION_FLAT_MM)) | sharp[at]
        crossing = (off >= ON_CURVE_MM) & ~runs
        starts = meet.copy()
        cut = at[crossing]
        starts[cut] = self._crossings(cut, meet[cut])
        strayed = np.hypot(*(starts[cut] - meet[cut]).T) > reach[cut] + REGION_FLAT_MM
        bad[cut[strayed | np.isnan(starts[cut, 0])]] = True
        ends = starts.copy()
        cut_off = np.flatnonzero(sharp)
        ends[cut_off], starts[cut_off] = self._cut_off(cut_off)
        run, here, prior = at[runs], here[runs], prior[runs]
        leaves, arrives = run[here >= 0], run[prior >= 0]
        # In the order they stand in: the arc's end, where its tangent is cut, the next one's start.
        extra_at = np.concatenate((arrives, cut_off, leaves))
        extra = np.concatenate((self._beside(arrives, self.u), ends[cut_off], starts[leaves]))
        ends[arrives] = self._beside(arrives, self.u)
        starts[leaves] = self._beside(leaves, self.v)
        order = np.argsort(extra_at, kind="stable")
        return starts, ends, (extra_at[order], extra[order])

    def _cut_off(self, at: Indices) -> tuple[Points, Points]:
        """Return both ends of the square cut across corners that are too sharp for a mitre."""
        u, v = self.u[at], self.v[at]
        dot = np.clip(np.sum(u * v, axis=1), -1.0, 1.0)
        across, along = np.sqrt((1.0 + dot) / 2.0), np.sqrt((1.0 - dot) / 2.0)
        # The cut stands square on the bisector, as far out as the longest mitre reaches.
        run = (abs(self.d) * (MITRE_LIMIT - across) / along)[:, None]
        return self._beside(at, self.u) + run * u, self._beside(at, self.v) - run * v

    def angles(self, starts: Points, ends: Points, bad: Flags) -> tuple[Floats, Floats]:
        """Return the arcs' new start angles and sweeps; those that vanish are marked bad.

        Parameters
        ----------
        starts, ends
            (N, 2) mm of the moved edges.
        bad
            (N,) is set where an arc vanishes.
        """
        chain = self.chain
        arc = chain.arc
        old_end = chain.start_rad + chain.sweep_rad
        start = chain.start_rad + _turned(starts[arc] - chain.center, chain.start_rad)
        end = old_end + _turned(ends[chain.after[arc]] - chain.center, old_end)
        sweep = chain.sweep_rad + (end - old_end) - (start - chain.start_rad)
        kept = np.sign(chain.sweep_rad) * sweep
        bad[arc[~((kept * self.radius > LEAST_MM) & (kept < 2.0 * np.pi + 1e-9))]] = True
        return start, sweep

    def _radius(self, number: Indices) -> Floats:
        # Both the old and the new radius say how fast a tangent leaves the arc.
        if not len(self.radius):
            return np.full(len(number), np.inf)
        tighter = np.minimum(self.radius, self.chain.radius)
        return np.where(number >= 0, tighter[number], np.inf)

    def _beside(self, at: Indices, direction: Points) -> Points:
        normal = np.column_stack((direction[at, 1], -direction[at, 0]))
        return self.chain.corner[at] + self.d * normal

    def _crossings(self, at: Indices, near: Points) -> Points:
        """(K, 2) places where the moved edges before and after corners cross."""
        here, prior = self.number[at], self.number[self.chain.before[at]]
        center, radius = self.chain.center, self.radius
        found = np.empty_like(near)
        both = (here >= 0) & (prior >= 0)
        found[both] = meet_circles(
            center[prior[both]], radius[prior[both]], center[here[both]], radius[here[both]],
            near[both],
        )  # fmt: skip
        for rounded, direction, one in (
            (here, self.u, (here >= 0) & ~both),
            (prior, self.v, (prior >= 0) & ~both),
        ):
            line, ring = at[one], rounded[one]
            found[one] = meet_line_and_circle(
                self._beside(line, direction), direction[line], center[ring], radius[ring],
                near[one],
            )  # fmt: skip
        return found


def _turned(offset: Points, angle: Floats) -> Floats:
    """How far from an angle a direction lies, within ±π; rounding is taken for nothing."""
    turned = np.arctan2(offset[:, 1], offset[:, 0]) - angle
    turned -= 2.0 * np.pi * np.round(turned / (2.0 * np.pi))
    return np.where(np.abs(turned) < 1e-12, 0.0, turned)
