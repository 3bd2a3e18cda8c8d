"""Faults of the lines themselves: crossing, doubled, loops that set an island free."""

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from ..arrays import Point, Points
from ..findings import Finding, Subject
from ..outline.curves import Profile
from ..tolerance import MEASURED_FLAT_MM, SAME_PLACE_MM

__all__ = ["at", "crossing", "doubled_lines", "islands", "profile_subject"]

LEAST_SHARED_MM = 0.1
"""Shorter intervals of two lines on each other are where they merely meet."""


def at(place: Point) -> str:
    """A place, mm, as findings write it: "(12.3, 4.5) mm"."""
    return f"({place[0]:.1f}, {place[1]:.1f}) mm"


def profile_subject(index: int) -> Subject:
    """The subject of a finding about one of the profiles that were looked at."""
    return Subject("profile", (index,))


def crossing(profile: Profile, index: int) -> Finding | None:
    """Return where the outline crosses or touches itself, if it does."""
    polygon = profile.polygon(MEASURED_FLAT_MM)
    if polygon.is_valid:
        return None
    reason = shapely.is_valid_reason(polygon)
    numbers = re.search(r"\[(\S+) (\S+?)\]", reason)
    x, y = profile.outer.segments[0].start
    place = (float(numbers[1]), float(numbers[2])) if numbers else (x, y)
    return Finding(
        "stop",
        "crossing",
        "The outline crosses or touches itself at {at}. Move the edges apart there.",
        {"at": at(place)},
        place,
        0.0,
        profile_subject(index),
    )


def islands(profile: Profile, index: int) -> Iterator[Finding]:
    """Holes within holes: what the inner one encloses is held by nothing."""
    if len(profile.holes) < 2:
        return
    rings = [shapely.Polygon(hole.flatten(MEASURED_FLAT_MM)) for hole in profile.holes]
    inner, outer = shapely.STRtree(rings).query(rings, predicate="within")
    pairs = {(int(a), int(b)) for a, b in zip(inner, outer, strict=True)}
    # The same hole twice lies within itself both ways and is no island.
    for i in sorted({a for a, b in pairs if (b, a) not in pairs}):
        x, y = rings[i].representative_point().coords[0]
        x0, y0, x1, y1 = rings[i].bounds
        size = max(x1 - x0, y1 - y0)
        yield Finding(
            "stop",
            "island",
            "The loop at {at}, {size:.1f} mm large, lies inside a hole: what it "
            "encloses hangs on nothing and falls out. Join it to the part or make "
            "it its own part.",
            {"at": at((x, y)), "size": size},
            (x, y),
            size,
            profile_subject(index),
        )


@dataclass(frozen=True, slots=True, eq=False)
class _StraightEdges:
    """Straight edges of many loops: (N, 2) ends, the profile and the loop of each, its number."""

    start: Points
    end: Points
    profile: NDArray[np.int64]
    loop: NDArray[np.int64]


def doubled_lines(
    profiles: Sequence[Profile],
    *,
    between: bool = False,
    said: Collection[tuple[int, int]] = (),
) -> Iterator[Finding]:
    """Intervals where two lines lie on each other, one finding for each pair of loops.

    Parameters
    ----------
    between
        Compare lines of different profiles; otherwise each profile's with its own.
    said
        Pairs of profiles, the lower number first, that need no more words.
    """
    edges = _edges(profiles)
    if edges is None:
        return
    lines = shapely.linestrings(np.stack((edges.start, edges.end), axis=1))
    one, two = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=SAME_PLACE_MM)
    keep = (one < two) & ((edges.profile[one] != edges.profile[two]) == between)
    one, two = one[keep], two[keep]
    shared, place = _shared(edges, one, two)
    keep = shared > 0.0
    pairs = np.column_stack((edges.loop[one[keep]], edges.loop[two[keep]]))
    owners = np.column_stack((edges.profile[one[keep]], edges.profile[two[keep]]))
    shared, place = shared[keep], place[keep]
    pairs.sort(axis=1)
    for a, b in np.unique(pairs, axis=0):
        members = np.flatnonzero((pairs[:, 0] == a) & (pairs[:, 1] == b))
        length = float(shared[members].sum())
        if length < LEAST_SHARED_MM:
            continue
        longest = members[shared[members].argmax()]
        x, y = place[longest].tolist()
        first, second = sorted(owners[longest].tolist())
        if (first, second) in said:
            continue
        yield Finding(
            "caution" if between else "stop",
            "duplicate line",
            "Two lines of part {first} and part {second} lie on each other for {length:.1f} mm at "
            "{at} and would be cut twice. Move the parts apart."
            if between
            else "Two lines lie on each other for {length:.1f} mm at {at} and would be cut twice. "
            "Delete one.",
            {"first": first + 1, "second": second + 1, "length": length, "at": at((x, y))},
            (x, y),
            length,
            profile_subject(second),
        )


def _edges(profiles: Sequence[Profile]) -> _StraightEdges | None:
    rings = [
        (number, loop.flatten(MEASURED_FLAT_MM))
        for number, profile in enumerate(profiles)
        for loop in profile.loops
    ]
    if not rings:
        return None
    start = np.vstack([ring for _, ring in rings])
    end = np.vstack([np.roll(ring, -1, axis=0) for _, ring in rings])
    counts = [len(ring) for _, ring in rings]
    profile = np.repeat([number for number, _ in rings], counts)
    loop = np.repeat(np.arange(len(rings)), counts)
    keep = np.hypot(*(end - start).T) > SAME_PLACE_MM
    return _StraightEdges(start[keep], end[keep], profile[keep], loop[keep])


def _shared(
    edges: _StraightEdges, one: NDArray[np.int64], two: NDArray[np.int64]
) -> tuple[NDArray[np.float64], Points]:
    """(K,) length for which pairs of edges lie on each other, and (K, 2) middles of that."""
    base = edges.start[one]
    along = edges.end[one] - base
    length = np.hypot(*along.T)
    along = along / length[:, None]
    reach = [np.sum((ends[two] - base) * along, axis=1) for ends in (edges.start, edges.end)]
    low = np.maximum(np.minimum(*reach), 0.0)
    high = np.minimum(np.maximum(*reach), length)
    span = np.maximum(*reach) - np.minimum(*reach)
    aside = [
        (ends[two] - base)[:, 0] * along[:, 1] - (ends[two] - base)[:, 1] * along[:, 0]
        for ends in (edges.start, edges.end)
    ]
    # How far the other edge is aside at both ends of the common interval.
    slope = (aside[1] - aside[0]) / np.where(span > 0.0, reach[1] - reach[0], 1.0)
    off = [np.abs(aside[0] + (t - reach[0]) * slope) for t in (low, high)]
    on = (high > low) & (span > 0.0) & (np.maximum(*off) <= SAME_PLACE_MM)
    shared = np.where(on, high - low, 0.0)
    return shared, base + ((low + high) / 2.0)[:, None] * along
