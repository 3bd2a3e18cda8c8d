"""Offset many loops of lines and arcs at once, edge by edge, where nothing runs into anything.

Lines move sideways, arcs change their radius, and every corner becomes the exact place where its
two edges now meet. That is the whole offset as long as every edge keeps its direction and the
result neither crosses nor touches itself; both are tested, and whoever fails is left to the
slower way that can handle it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from ..arrays import Points
from .loop_arrays import Floats, Indices, LoopArrays
from .meet import meet_circles, meet_line_and_circle
from .profile import Loop, Profile
from .restore import FLAT_MM

__all__ = ["shift_profiles"]

MITRE_LIMIT = 4.0
"""Sharp outside corners run out to this many offsets, so down to 29°; past it they are cut off."""
ON_CURVE_MM = 1e-8
"""A mitre this near to an arc is on it."""
LEAST_MM = 1e-6
"""Edges that would become shorter than this are left to the slower way."""

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class _Chain:
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


def shift_profiles(profiles: Sequence[Profile], distance_mm: float) -> list[Profile | None]:
    """Return every profile grown by a distance (shrunk if negative), corners mitred.

    None stands for profiles that this cannot offset: with cubics, with corners sharper than the
    mitre limit, or where an edge vanishes or edges run into each other.
    """
    result: list[Profile | None] = [None] * len(profiles)
    able = [i for i, p in enumerate(profiles) if all(map(_is_able, p.loops))]
    if not able:
        return result
    chosen = [profiles[i] for i in able]
    loops = [loop.arrays for p in chosen for loop in p.loops]
    counts = [len(p.holes) + 1 for p in chosen]
    owner = np.repeat(np.arange(len(chosen)), counts)
    chain = _chain([a for a in loops if a is not None])
    moved, good = _shifted(chain, distance_mm)
    fine = np.ones(len(chosen), dtype=bool)
    fine[owner[~good]] = False
    fine &= _simple(moved, owner, len(chosen))
    arrays = _split(moved)
    at = 0
    for i, count, ok in zip(able, counts, fine.tolist(), strict=True):
        if ok:
            outer, *holes = (Loop.from_arrays(a) for a in arrays[at : at + count])
            result[i] = Profile.oriented(outer, tuple(holes))
        at += count
    return result


def _is_able(loop: Loop) -> bool:
    arrays = loop.arrays
    return arrays is not None and (len(arrays.corner) > 2 or len(arrays.arc) > 0)


def _chain(loops: Sequence[LoopArrays]) -> _Chain:
    counts = np.array([len(a.corner) for a in loops])
    first = np.concatenate(([0], np.cumsum(counts)))
    before = np.arange(-1, first[-1] - 1)
    before[first[:-1]] = first[1:] - 1
    after = np.arange(1, first[-1] + 1)
    after[first[1:] - 1] = first[:-1]
    return _Chain(
        np.concatenate([a.corner for a in loops]),
        np.concatenate([a.arc + at for a, at in zip(loops, first[:-1], strict=True)]),
        np.concatenate([a.center for a in loops]),
        np.concatenate([a.radius for a in loops]),
        np.concatenate([a.start_rad for a in loops]),
        np.concatenate([a.sweep_rad for a in loops]),
        first,
        before,
        after,
    )


def _shifted(chain: _Chain, d: float) -> tuple[_Chain, Flags]:
    """Return the moved chain, and for each loop whether all of it went well."""
    corner, arc, after, before = chain.corner, chain.arc, chain.after, chain.before
    along = corner[after] - corner
    length = np.sqrt(along[:, 0] ** 2 + along[:, 1] ** 2)
    straight = np.ones(len(corner), dtype=bool)
    straight[arc] = False
    bad = straight & ~(length > 0.0)
    leaving = along / np.where(length > 0.0, length, 1.0)[:, None]
    arriving = leaving
    turn_sign = np.sign(chain.sweep_rad)
    if len(arc):
        arriving = leaving.copy()
        for angle, into in (
            (chain.start_rad, leaving),
            (chain.start_rad + chain.sweep_rad, arriving),
        ):
            into[arc, 0] = -turn_sign * np.sin(angle)
            into[arc, 1] = turn_sign * np.cos(angle)
    radius = chain.radius + turn_sign * d
    bad[arc[radius <= LEAST_MM]] = True
    u, v = arriving[before], leaving
    dot = u[:, 0] * v[:, 0] + u[:, 1] * v[:, 1]
    cross = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    outward = cross * d > 0.0
    # A mitre reaches √(2 / (1 + cos turn)) times the distance from the old corner.
    bad |= 1.0 + dot < np.where(outward, 2.0 / MITRE_LIMIT**2, 1e-9)
    share = d / np.maximum(1.0 + dot, 1e-9)
    meet = np.empty_like(corner)
    meet[:, 0] = corner[:, 0] + share * (u[:, 1] + v[:, 1])
    meet[:, 1] = corner[:, 1] - share * (u[:, 0] + v[:, 0])
    starts = ends = meet
    extra = (np.zeros(0, dtype=np.int64), np.zeros((0, 2)))
    sweep, start_rad = chain.sweep_rad, chain.start_rad
    if len(arc):
        edge = _Edges(chain, u, v, radius, d)
        starts, ends, extra = edge.corners(meet, outward, np.abs(cross * share), bad)
        start_rad, sweep = edge.angles(starts, ends, bad)
    travel = (ends[after] - starts) * leaving
    bad |= straight & ~(travel[:, 0] + travel[:, 1] > LEAST_MM)
    moved = replace(
        chain, corner=starts, radius=radius, start_rad=start_rad, sweep_rad=sweep
    )  # fmt: skip
    good = ~np.logical_or.reduceat(bad, chain.first[:-1])
    return (_inserted(moved, *extra) if len(extra[0]) else moved), good


class _Edges:
    """Moved edges of a chain with arcs, and where they meet."""

    def __init__(self, chain: _Chain, u: Points, v: Points, radius: Floats, d: float) -> None:
        self.chain, self.u, self.v, self.radius, self.d = chain, u, v, radius, d
        self.number = np.full(len(chain.corner), -1)
        self.number[chain.arc] = np.arange(len(chain.arc))

    def corners(
        self, meet: Points, outward: Flags, reach: Floats, bad: Flags
    ) -> tuple[Points, Points, tuple[Indices, Points]]:
        """Return where edges start and, by the corner, where the ones before them end.

        Out of a sharp corner beside a tightly bent arc the path runs on along the arc's tangent;
        those extra corners come with the index of the segment they stand before.
        """
        chain, number = self.chain, self.number
        at = np.flatnonzero((number >= 0) | (number[chain.before] >= 0))
        here, prior = number[at], number[chain.before[at]]
        least = np.minimum(self._radius(here), self._radius(prior))
        off = reach[at] ** 2 / (2.0 * np.maximum(least, LEAST_MM))
        runs = outward[at] & (off >= FLAT_MM)
        crossing = (off >= ON_CURVE_MM) & ~runs
        starts = meet.copy()
        cut = at[crossing]
        starts[cut] = self._crossings(cut, meet[cut])
        strayed = np.hypot(*(starts[cut] - meet[cut]).T) > reach[cut] + FLAT_MM
        bad[cut[strayed | np.isnan(starts[cut, 0])]] = True
        ends = starts.copy()
        run, here, prior = at[runs], here[runs], prior[runs]
        leaves, arrives = run[here >= 0], run[prior >= 0]
        extra_at = np.concatenate((arrives, leaves))
        starts[leaves] = self._beside(leaves, self.v)
        ends[arrives] = self._beside(arrives, self.u)
        extra = np.concatenate((ends[arrives], meet[leaves]))
        # Of two extra corners before one segment the end of the arriving arc comes first.
        order = np.argsort(extra_at, kind="stable")
        return starts, ends, (extra_at[order], extra[order])

    def angles(self, starts: Points, ends: Points, bad: Flags) -> tuple[Floats, Floats]:
        """Return the arcs' new start angles and sweeps; those that vanish are marked bad."""
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


def _inserted(chain: _Chain, at: Indices, corners: Points) -> _Chain:
    """Put lines before segments ``at``, starting at ``corners``."""
    added = np.concatenate(([0], np.cumsum(np.bincount(at, minlength=len(chain.corner)))))
    return replace(
        chain,
        corner=np.insert(chain.corner, at, corners, axis=0),
        arc=chain.arc + added[chain.arc + 1],
        first=chain.first + added[chain.first],
    )


def _simple(chain: _Chain, owner: Indices, count: int) -> Flags:
    """Whether each profile's loops neither cross nor touch, chords standing for arcs."""
    points = np.nan_to_num(chain.corner)
    first = chain.first
    if len(chain.arc):
        ratio = np.maximum(1.0 - FLAT_MM / np.maximum(chain.radius, FLAT_MM), 0.0)
        steps = np.abs(chain.sweep_rad) / (2.0 * np.arccos(ratio))
        between = np.maximum(np.ceil(np.nan_to_num(steps)).astype(np.int64) - 1, 2)
        which = np.repeat(np.arange(len(between)), between)
        nth = np.arange(len(which)) - np.repeat(np.cumsum(between) - between, between) + 1.0
        share = nth / (between[which] + 1.0)
        angle = chain.start_rad[which] + share * chain.sweep_rad[which]
        reach = chain.radius[which]
        x = chain.center[which, 0] + reach * np.cos(angle)
        y = chain.center[which, 1] + reach * np.sin(angle)
        chords = np.nan_to_num(np.column_stack((x, y)))
        points = np.insert(points, chain.arc[which] + 1, chords, axis=0)
        per_segment = np.zeros(len(chain.corner), dtype=np.int64)
        per_segment[chain.arc] = between
        first = first + np.concatenate(([0], np.cumsum(per_segment)))[first]
    ring = np.repeat(np.arange(len(first) - 1), np.diff(first))
    rings = shapely.linearrings(points, indices=ring)
    polygons = shapely.polygons(rings, indices=owner)
    valid: Flags = shapely.is_valid(polygons)
    return valid


def _split(chain: _Chain) -> list[LoopArrays]:
    first = chain.first.tolist()
    arcs = np.searchsorted(chain.arc, chain.first).tolist()
    loops = []
    for a, b, i, j in zip(first, first[1:], arcs, arcs[1:], strict=False):
        if i == j:
            loops.append(LoopArrays.of_lines(chain.corner[a:b]))
            continue
        loops.append(
            LoopArrays(
                chain.corner[a:b],
                chain.arc[i:j] - a,
                chain.center[i:j],
                chain.radius[i:j],
                chain.start_rad[i:j],
                chain.sweep_rad[i:j],
            )
        )
    return loops
