"""Offset many loops of lines and arcs at once, edge by edge, where nothing runs into anything.

Lines move sideways, arcs change their radius, and every corner becomes the exact place where its
two edges now meet. That is the whole offset as long as every edge keeps its direction and the
result neither crosses nor touches itself; both are tested, and whoever fails is left to the
slower way that can handle it.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from ...arrays import Indices, Points
from ...tolerance import REGION_FLAT_MM
from .loop_arrays import LoopArrays
from .profile import Loop, Profile
from .shift_corners import FOLDED, LEAST_MM, MITRE_LIMIT, Flags, LoopChain, MovedEdges
from .shift_curves import shift_curved

__all__ = ["shift_profiles"]


def shift_profiles(profiles: Sequence[Profile], distance_mm: float) -> list[Profile | None]:
    """Return every profile grown by a distance (shrunk if negative), corners mitred.

    None stands for profiles that this cannot offset: where an edge vanishes or edges run into each
    other. Those with cubics are done one by one.
    """
    result: list[Profile | None] = [
        shift_curved(p, distance_mm) if any(loop.arrays is None for loop in p.loops) else None
        for p in profiles
    ]
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


def _chain(loops: Sequence[LoopArrays]) -> LoopChain:
    counts = np.array([len(a.corner) for a in loops])
    first = np.concatenate(([0], np.cumsum(counts)))
    before = np.arange(-1, first[-1] - 1)
    before[first[:-1]] = first[1:] - 1
    after = np.arange(1, first[-1] + 1)
    after[first[1:] - 1] = first[:-1]
    return LoopChain(
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


def _shifted(chain: LoopChain, d: float) -> tuple[LoopChain, Flags]:
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
    sharp = outward & (1.0 + dot < 2.0 / MITRE_LIMIT**2)
    bad |= 1.0 + dot < FOLDED
    fraction = d / np.maximum(1.0 + dot, FOLDED)
    meet = np.empty_like(corner)
    meet[:, 0] = corner[:, 0] + fraction * (u[:, 1] + v[:, 1])
    meet[:, 1] = corner[:, 1] - fraction * (u[:, 0] + v[:, 0])
    starts = ends = meet
    extra = (np.zeros(0, dtype=np.int64), np.zeros((0, 2)))
    sweep, start_rad = chain.sweep_rad, chain.start_rad
    if len(arc) or sharp.any():
        edge = MovedEdges(chain, u, v, radius, d)
        starts, ends, extra = edge.corners(meet, outward, sharp, np.abs(cross * fraction), bad)
        start_rad, sweep = edge.angles(starts, ends, bad)
    travel = (ends[after] - starts) * leaving
    bad |= straight & ~(travel[:, 0] + travel[:, 1] > LEAST_MM)
    moved = replace(
        chain, corner=starts, radius=radius, start_rad=start_rad, sweep_rad=sweep
    )  # fmt: skip
    good = ~np.logical_or.reduceat(bad, chain.first[:-1])
    return (_inserted(moved, *extra) if len(extra[0]) else moved), good


def _inserted(chain: LoopChain, at: Indices, corners: Points) -> LoopChain:
    """Put lines before segments ``at``, starting at ``corners``."""
    added = np.concatenate(([0], np.cumsum(np.bincount(at, minlength=len(chain.corner)))))
    return replace(
        chain,
        corner=np.insert(chain.corner, at, corners, axis=0),
        arc=chain.arc + added[chain.arc + 1],
        first=chain.first + added[chain.first],
    )


def _simple(chain: LoopChain, owner: Indices, count: int) -> Flags:
    """Whether each profile's loops neither cross nor touch, chords standing for arcs."""
    points = np.nan_to_num(chain.corner)
    first = chain.first
    if len(chain.arc):
        ratio = np.maximum(1.0 - REGION_FLAT_MM / np.maximum(chain.radius, REGION_FLAT_MM), 0.0)
        steps = np.abs(chain.sweep_rad) / (2.0 * np.arccos(ratio))
        between = np.maximum(np.ceil(np.nan_to_num(steps)).astype(np.int64) - 1, 2)
        which = np.repeat(np.arange(len(between)), between)
        nth = np.arange(len(which)) - np.repeat(np.cumsum(between) - between, between) + 1.0
        fraction = nth / (between[which] + 1.0)
        angle = chain.start_rad[which] + fraction * chain.sweep_rad[which]
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


def _split(chain: LoopChain) -> list[LoopArrays]:
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
