"""Cross-laps that share what other cuts have left of two sheets.

A hole or the fixture may part the line in several intervals. For the two sheets to go together
along the line, one must keep all of it below a place and the other all above: so there is one place
for all intervals, and each sheet is slotted from it through every interval on its side. That opens
a hole on the way; where both sheets were drawn with a hole there, and nothing is to be put into it
that must be gone around, it stays closed, and every interval is halved by itself.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from shapely.geometry.base import BaseGeometry

from ...arrays import FloatArray
from ..solids import (
    Band,
    BoundedCache,
    Interval,
    Meeting,
    Part,
    as_pose,
    meeting,
    part_key,
    world_to_part,
)
from .crosslap import CrossLap, lap_at, shortest_way
from .edge_meeting import through
from .joint import Joint
from .lap_checks import check_lap, check_numbers
from .workpieces import Workpieces

__all__ = ["Shared", "agreed_places", "shared_of"]

Left = tuple[BaseGeometry | None, BaseGeometry | None]
LEAST_MM = 0.5
"""An interval shorter than this carries nothing."""
SAME_PLACE_MM = 0.2
"""Ends of two lines in one shape that are nearer than this are one and the same."""
_known: BoundedCache["Shared"] = BoundedCache(4096)


@dataclass(frozen=True, slots=True, eq=False)
class Shared:
    """Two sheets as cuts have left them, where they cross, and how they are to share it.

    ``whole`` is the interval between the ends of the line of their whole outlines; all places are
    in mm along ``meet``'s line. ``at`` is where the slots end in the proportion asked, ``share``
    the fraction of the line up to there. ``is_apart``: every interval is shared by itself.
    """

    meet: Meeting
    whole: Interval
    opens: Literal["start", "end"]
    at: float
    share: float
    clearance_mm: float
    is_apart: bool

    def laps(self, at: float | None = None) -> tuple[CrossLap, ...]:
        """The cross-laps: one, or one for each interval that is shared by itself."""
        if not self.is_apart:
            return (self.lap(at),)
        return tuple(
            lap_at(self.meet, [s], s[0] + self.share * (s[1] - s[0]), self.opens, self.clearance_mm)
            for s in self.meet.shared
        )

    def lap(
        self,
        at: float | None = None,
        opens: Literal["start", "end"] | None = None,
        end_clearance_mm: float = 0.0,
    ) -> CrossLap:
        """The cross-lap of all intervals together, its slots ending here or at another place.

        Parameters
        ----------
        at
            Where the slots end, mm along the line; none: by itself.
        opens
            The end that the first part's slot is open to; none: by itself.
        end_clearance_mm
            By how much the slots miss each other.
        """
        low, high = self.meet.shared[0][0], self.meet.shared[-1][1]
        return lap_at(
            self.meet,
            self.meet.shared,
            min(max(self.at if at is None else at, low), high),
            opens or self.opens,
            self.clearance_mm,
            end_clearance_mm,
        )


def shared_of(work: Workpieces, joint: Joint) -> Shared:
    """How the parts of a joint share what is left of them; kept while nothing of it changes.

    Raises
    ------
    PartsDoNotMeetError
        If they do not cross, or where they do nothing is left of one of them.
    AssemblyError
        If a number is out of range.
    """
    a, b = work.parts[joint.a], work.parts[joint.b]
    left = (work.left(joint.a), work.left(joint.b))
    settings = (joint.clearance_mm, joint.split, joint.a_opens)
    return _known.get(
        (part_key(a), part_key(b), id(left[0]), id(left[1]), settings),
        (a.profile, b.profile, *left),
        lambda: _shared(a, b, joint, left),
    )


def _shared(a: Part, b: Part, joint: Joint, left: Left) -> Shared:
    check_numbers(joint.clearance_mm, joint.split, a_opens=joint.a_opens)
    whole = meeting(a, b)
    check_lap(whole, joint.clearance_mm)
    meet = whole if left == (None, None) else meeting(a, b, left)
    # Sides are chosen by the whole outlines: what is left of one may reach a little farther than
    # what is left of the other, and neighbours would open at opposite ends for nothing.
    opens = joint.a_opens
    if opens == "auto":
        opens = shortest_way(whole)
        other: Literal["start", "end"] = "start" if opens == "end" else "end"
        if _is_barred(meet, opens) and not _is_barred(meet, other):
            opens = other
    ends = (whole.shared[0][0], whole.shared[-1][1])
    share = joint.split if opens == "start" else 1.0 - joint.split
    drawn = 1 < len(meet.shared) == len(whole.shared)
    apart = drawn and not any(_spans(band, meet.shared) for band in (meet.a, meet.b))
    intervals = meet.shared if meet is whole else _carrying(meet)
    at = _place(meet, intervals, share, opens)
    return Shared(meet, ends, opens, at, share, joint.clearance_mm, apart)


def _reach(band: Band, shared: Sequence[Interval]) -> Interval:
    """Outer ends of the sheet's own material that holds the first and the last interval."""
    middle = [0.5 * (low + high) for low, high in (shared[0], shared[-1])]
    first, last = (next(i for i in band.intervals if i[0] <= m <= i[1]) for m in middle)
    return (first[0], last[1])


def _is_barred(meet: Meeting, opens: str) -> bool:
    """Whether more of a sheet, beyond the mouth of its slot, keeps the other from coming in."""
    (a_low, a_high), (b_low, b_high) = _reach(meet.a, meet.shared), _reach(meet.b, meet.shared)
    if opens == "start":
        return meet.a.intervals[0][0] < a_low or meet.b.intervals[-1][1] > b_high
    return meet.a.intervals[-1][1] > a_high or meet.b.intervals[0][0] < b_low


def _spans(band: Band, shared: Sequence[Interval]) -> bool:
    """Whether a sheet goes on all across through every gap between the intervals."""
    first, last = shared[0][1], shared[-1][0]
    return any(low <= first and last <= high for low, high in through(band))


def _carrying(meet: Meeting) -> tuple[Interval, ...]:
    """What of each shared interval both sheets fill all across, so that it holds what is beside it.

    Where the fixture's edge rises steeply along a slot, only a little of what lies there goes on to
    the other side; shared by its whole height the sheet would be cut through.
    """
    across = (through(meet.a), through(meet.b))
    found = []
    for low, high in meet.shared:
        both = [(max(low, p[0], q[0]), min(high, p[1], q[1])) for p in across[0] for q in across[1]]
        best = max(both, key=lambda i: i[1] - i[0], default=(0.0, 0.0))
        found.append(best if best[1] - best[0] > LEAST_MM else (low, high))
    return tuple(found)


def _place(meet: Meeting, shared: Sequence[Interval], share: float, opens: str) -> float:
    """Where along the line the slots end, with a share of what the sheets share before it."""
    if len(shared) > 1:
        # A sheet that goes on through the gaps is slotted along all of them; the other one, which
        # has a hole there, is not cut through from there to its edge but halved in one interval.
        for band, keeps_high in ((meet.a, opens == "start"), (meet.b, opens == "end")):
            if _spans(band, shared):
                low, high = shared[-1] if keeps_high else shared[0]
                return low + share * (high - low)
    rest = share * sum(high - low for low, high in shared)
    near = max(meet.a.sheet.thickness_mm, meet.b.sheet.thickness_mm)
    for number, (low, high) in enumerate(shared):
        if rest <= high - low or number == len(shared) - 1:
            at = low + rest
            # A tongue shorter than the sheets are thick would break off beside the gap.
            if number and at - low < near and high - at > near:
                return _in_gap(meet, (shared[number - 1][1], low), opens)
            if number + 1 < len(shared) and high - at < near and at - low > near:
                return _in_gap(meet, (high, shared[number + 1][0]), opens)
            return at
        rest -= high - low
    raise AssertionError("A meeting shares one stretch at least.")


def _in_gap(meet: Meeting, gap: Interval, opens: str) -> float:
    """Where in a gap slots end: a sheet that has material in it keeps that."""
    middle = 0.5 * (gap[0] + gap[1])
    a, b = (any(i[0] < middle < i[1] for i in band.intervals) for band in (meet.a, meet.b))
    keeps_low, keeps_high = (b, a) if opens == "start" else (a, b)
    return middle if keeps_low == keeps_high else gap[1 if keeps_low else 0]


def agreed_places(work: Workpieces, shared: Mapping[int, Shared]) -> dict[int, float]:
    """Where slots end that several copies have in common: at the mean of what each would choose.

    Parameters
    ----------
    work
        Parts and the shapes they are cut from.
    shared
        How the parts of each joint share, by the joints' numbers.

    Returns
    -------
    dict
        The place along each joint's own line, for those that have a slot in common with others.
    """
    places: dict[int, float] = {}
    for members in _clusters(work, shared):
        if len(members) < 2:
            continue
        along = []
        for number, reverse in members.items():
            low, high = shared[number].whole
            part = (shared[number].at - low) / (high - low)
            along.append(1.0 - part if reverse else part)
        mean = float(np.mean(along))
        for number, reverse in members.items():
            low, high = shared[number].whole
            places[number] = low + (1.0 - mean if reverse else mean) * (high - low)
    return places


def _clusters(work: Workpieces, shared: Mapping[int, Shared]) -> list[dict[int, bool]]:
    """Joints linked by a common slot, and whether each line runs against the first one's."""
    lines: dict[int, list[tuple[int, FloatArray]]] = {}
    for number, found in shared.items():
        if found.is_apart:
            continue
        meet = found.meet
        ends = meet.origin + np.array(found.whole)[:, None] * meet.direction
        for part in (work.joints[number].a, work.joints[number].b):
            own = world_to_part(as_pose(work.parts[part].pose), ends)[:, :2]
            lines.setdefault(work.groups[part], []).append((number, own))
    linked: dict[int, list[tuple[int, bool]]] = {number: [] for number in shared}
    for own_lines in lines.values():
        all_ends = np.stack([line for _, line in own_lines])
        for i, (number, line) in enumerate(own_lines):
            for reverse in (False, True):
                away = np.abs(all_ends[i + 1 :] - (line[::-1] if reverse else line))
                for j in np.flatnonzero(away.max(axis=(1, 2), initial=0.0) < SAME_PLACE_MM):
                    other = own_lines[i + 1 + j][0]
                    linked[number].append((other, reverse))
                    linked[other].append((number, reverse))
    return _followed(linked)


def _followed(linked: Mapping[int, Sequence[tuple[int, bool]]]) -> list[dict[int, bool]]:
    clusters: list[dict[int, bool]] = []
    seen: set[int] = set()
    for first in linked:
        if first in seen:
            continue
        members, queue = {first: False}, [first]
        while queue:
            here = queue.pop()
            for other, reverse in linked[here]:
                if other not in members:
                    members[other] = members[here] != reverse
                    queue.append(other)
        seen |= members.keys()
        clusters.append(members)
    return clusters
