"""Lap many parts at once, and cut shapes that several parts share.

Parts that repeat around an axis are cut from one shape. Every copy's joints must be in that shape,
and the same slot found from six copies must be cut once.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..arrays import FloatArray
from ..errors import PartsDoNotMeetError
from ..outline.profile import Profile
from .crosslap import CrossLap, cross_laps
from .cuts import apply_cuts
from .part import Part

__all__ = ["Joinery", "Lap", "lap_parts", "meeting_pairs"]

SAME_CUT_MM2 = 0.05
"""Two cuts that differ by less than this are one and the same slot."""


@dataclass(frozen=True, slots=True)
class Lap:
    """One crossing: the indices of its two parts, and what each loses."""

    a: int
    b: int
    cross_lap: CrossLap


@dataclass(frozen=True, slots=True)
class Joinery:
    """Every lap, and the shapes of the parts with their slots cut, one a group."""

    laps: tuple[Lap, ...]
    profiles: tuple[Profile, ...]


def meeting_pairs(parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
    """Index pairs of parts that cross each other along a line."""
    spheres = [_sphere(part) for part in parts]
    pairs = []
    for i, (here, reach) in enumerate(spheres):
        for j in range(i + 1, len(parts)):
            there, other_reach = spheres[j]
            if np.linalg.norm(here - there) > reach + other_reach:
                continue
            try:
                cross_laps(parts[i], parts[j])
            except PartsDoNotMeetError:
                continue
            pairs.append((i, j))
    return tuple(pairs)


def lap_parts(
    parts: Sequence[Part],
    pairs: Sequence[tuple[int, int]],
    *,
    groups: Sequence[int] | None = None,
    clearance_mm: float = 0.0,
) -> Joinery:
    """Lap every pair and cut the slots.

    Parameters
    ----------
    parts
        Whole parts, with no slots cut yet.
    pairs
        Which parts to lap with each other.
    groups
        For each part the number of the shape it is cut from, counting from 0; by default every
        part has its own.
    clearance_mm
        How much wider than the other sheet each slot is.

    Raises
    ------
    PartsDoNotMeetError
        If a pair does not cross.
    AssemblyError
        If a slot would cut a part apart.
    """
    groups = range(len(parts)) if groups is None else groups
    laps: list[Lap] = []
    cuts: dict[int, list[Profile]] = {group: [] for group in groups}
    for i, j in pairs:
        for lap in cross_laps(parts[i], parts[j], clearance_mm):
            laps.append(Lap(i, j, lap))
            _add_once(cuts[groups[i]], lap.cut_a)
            _add_once(cuts[groups[j]], lap.cut_b)
    shapes = {group: part for group, part in zip(groups, parts, strict=True)}
    profiles = [apply_cuts(shapes[group], cuts[group]).profile for group in sorted(shapes)]
    return Joinery(tuple(laps), tuple(profiles))


def _sphere(part: Part) -> tuple[FloatArray, float]:
    """Centre and radius of a ball around the part, in the world."""
    x0, y0, x1, y1 = part.profile.bounds_mm
    middle = np.array([(x0 + x1) / 2.0, (y0 + y1) / 2.0, 0.0, 1.0])
    radius = float(np.hypot(np.hypot(x1 - x0, y1 - y0), part.stock.thickness_mm)) / 2.0
    return (part.pose @ middle)[:3], radius


def _add_once(cuts: list[Profile], cut: Profile) -> None:
    shape = cut.polygon()
    if all(shape.symmetric_difference(known.polygon()).area > SAME_CUT_MM2 for known in cuts):
        cuts.append(cut)
