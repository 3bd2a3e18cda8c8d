"""Cross-laps: two sheets halved into each other along the line they share."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ...arrays import FloatArray, Point
from ...outline.curves import Profile
from ..solids import Band, Interval, Meeting, Part, meeting
from .edge_meeting import box_across
from .lap_checks import check_lap, check_numbers

__all__ = [
    "CrossLap",
    "Opens",
    "cross_lap",
    "cross_laps",
    "lap_at",
    "shortest_way",
]

Opens = Literal["auto", "start", "end"]
LOOSE_RAD = math.radians(75.0)
TIE_MM = 1e-3
"""Ways to open a pair whose extra lengths differ by less than this are equally good."""
World = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class CrossLap:
    """What two crossing sheets lose so that each fits into the other.

    ``cut_a`` and ``cut_b`` are rectangles in each part's own x, y, reaching a little past the
    part's edge so that the slot is open. ``line`` is the shared interval on both mid-planes, in
    the world; ``split_world`` the place on it where both slots end. ``a_opens`` says at which
    end of the line part a's slot is open; b's is open at the other. ``mouth_a``, ``mouth_b`` are
    the middles of the openings in each part's own x, y. Depths run from the bottom to the edge.
    ``kept_a`` and ``kept_b`` are where each part lies in the other's slot, in its own x, y.
    ``intervals`` counts those that a hole or the fixture has parted the line into.
    """

    cut_a: Profile
    cut_b: Profile
    line: tuple[World, World]
    split_world: World
    angle_rad: float
    width_a_mm: float
    width_b_mm: float
    depth_a_mm: float
    depth_b_mm: float
    mouth_a: Point
    mouth_b: Point
    a_opens: Literal["start", "end"]
    thickness_a_mm: float
    thickness_b_mm: float
    kept_a: Profile
    kept_b: Profile
    intervals: int = 1

    @property
    def shared_mm(self) -> float:
        """Length of the shared interval."""
        return math.dist(*self.line)

    @property
    def direction(self) -> World:
        """Unit direction of the shared line in the world, from its start to its end."""
        start, end = np.array(self.line)
        x, y, z = ((end - start) / np.linalg.norm(end - start)).tolist()
        return (x, y, z)

    @property
    def slack_a_mm(self) -> float:
        """Play of sheet b in a's square-cut slot against a slot with tilted walls, t |cot θ|."""
        return self.thickness_a_mm / math.tan(self.angle_rad)

    @property
    def slack_b_mm(self) -> float:
        """Play of sheet a in b's square-cut slot against a slot with tilted walls."""
        return self.thickness_b_mm / math.tan(self.angle_rad)

    @property
    def slack_mm(self) -> float:
        """The larger of the two slots' play; 0 where the sheets cross squarely."""
        return max(self.slack_a_mm, self.slack_b_mm)

    @property
    def is_loose(self) -> bool:
        """Whether the sheets cross so askew (under 75°) that square-cut slots let them rock."""
        return self.angle_rad < LOOSE_RAD


def _host(band: Band, shared: Interval) -> Interval:
    """The interval of a part's own material, edge to edge, that holds a shared interval."""
    middle = 0.5 * (shared[0] + shared[1])
    return next(i for i in band.intervals if i[0] <= middle <= i[1])


def _extra(meet: Meeting, shared: Interval, opens: str) -> float:
    """How much farther than the shared interval the two slots must run to reach an edge."""
    a, b = _host(meet.a, shared), _host(meet.b, shared)
    if opens == "start":
        return (shared[0] - a[0]) + (b[1] - shared[1])
    return (a[1] - shared[1]) + (shared[0] - b[0])


def _past_edge(band: Band, host: Interval, towards: int) -> float:
    """How far a cut runs past the edge: clear of the edge, short of the next material."""
    reach = max(1.0, band.sheet.thickness_mm)
    if towards < 0:
        gaps = [host[0] - high for _, high in band.intervals if high < host[0]]
    else:
        gaps = [low - host[1] for low, _ in band.intervals if low > host[1]]
    return min([reach, *(0.5 * gap for gap in gaps)])


def _own(band: Band, u: float, v: float) -> Point:
    """A place of the line's frame in the part's own x, y."""
    turn, shift = band.to_line[:2, :2], band.to_line[:2, 2]
    x, y = turn.T @ (np.array([u, v]) - shift)
    return (float(x), float(y))


def _kept(band: Band, bottom: float, end: float) -> Profile:
    """The rectangle from a slot's bottom to the end of what the two sheets share."""
    half = 0.5 * band.width_mm
    return box_across(band, (bottom, end), (-half, half))


def _cut(
    band: Band, host: Interval, bottom: float, towards: int, clearance_mm: float
) -> tuple[Profile, float, Point]:
    """The slot of one part: its outline, its depth and the middle of its mouth."""
    edge = host[0] if towards < 0 else host[1]
    far = edge + towards * _past_edge(band, host, towards)
    half = 0.5 * (band.width_mm + clearance_mm)
    cut = box_across(band, (bottom, far), (-half, half))
    return cut, abs(edge - bottom), _own(band, edge, 0.0)


def lap_at(
    meet: Meeting,
    intervals: Sequence[Interval],
    at: float,
    opens: Literal["start", "end"],
    clearance_mm: float,
    end_clearance_mm: float = 0.0,
) -> CrossLap:
    """Build the cross-lap whose slots meet at a place of the line.

    Parameters
    ----------
    meet
        The two sheets, whole or what is left of them.
    intervals
        What of the line both sheets fill, in its order; each slot runs from ``at`` through all of
        them on its side and out over the edge of its own sheet.
    at
        Where both slots end, measured along the line like the intervals, in mm.
    opens
        At which end part a's slot is open.
    clearance_mm, end_clearance_mm
        As for `cross_lap`.
    """
    low, high = intervals[0][0], intervals[-1][1]
    first, last = intervals[0], intervals[-1]
    towards = -1 if opens == "start" else 1
    ends = (first, last) if opens == "start" else (last, first)
    back = 0.5 * end_clearance_mm
    cut_a, depth_a, mouth_a = _cut(
        meet.a, _host(meet.a, ends[0]), at - towards * back, towards, clearance_mm
    )
    cut_b, depth_b, mouth_b = _cut(
        meet.b, _host(meet.b, ends[1]), at + towards * back, -towards, clearance_mm
    )

    def world(u: float) -> World:
        place: FloatArray = meet.origin + u * meet.direction
        return (float(place[0]), float(place[1]), float(place[2]))

    return CrossLap(
        cut_a=cut_a,
        cut_b=cut_b,
        line=(world(low), world(high)),
        split_world=world(at),
        angle_rad=meet.angle_rad,
        width_a_mm=meet.a.width_mm + clearance_mm,
        width_b_mm=meet.b.width_mm + clearance_mm,
        depth_a_mm=depth_a,
        depth_b_mm=depth_b,
        mouth_a=mouth_a,
        mouth_b=mouth_b,
        a_opens=opens,
        thickness_a_mm=meet.a.sheet.thickness_mm,
        thickness_b_mm=meet.b.sheet.thickness_mm,
        kept_a=_kept(meet.a, at, high if towards < 0 else low),
        kept_b=_kept(meet.b, at, low if towards < 0 else high),
        intervals=len(intervals),
    )


def shortest_way(meet: Meeting) -> Literal["start", "end"]:
    """At which end part a's slots open so that all slots are shortest; "end" where both are."""
    extra = {o: sum(_extra(meet, s, o) for s in meet.shared) for o in ("start", "end")}
    return "start" if extra["start"] < extra["end"] - TIE_MM else "end"


def cross_laps(
    a: Part,
    b: Part,
    clearance_mm: float = 0.0,
    *,
    split: float = 0.5,
    end_clearance_mm: float = 0.0,
    a_opens: Opens = "auto",
) -> tuple[CrossLap, ...]:
    """Every cross-lap of two parts, one per interval they share along their line, in its order.

    All open the same way, or the parts could not be pushed together.

    Parameters
    ----------
    a, b, clearance_mm, split, end_clearance_mm, a_opens
        As of `cross_lap`.
    """
    check_numbers(clearance_mm, split, end_clearance_mm, a_opens)
    meet = meeting(a, b)
    check_lap(meet, clearance_mm)
    opens = shortest_way(meet) if a_opens == "auto" else a_opens
    # Part a's slot takes its share whichever end it opens at.
    share = split if opens == "start" else 1.0 - split
    return tuple(
        lap_at(meet, [s], s[0] + share * (s[1] - s[0]), opens, clearance_mm, end_clearance_mm)
        for s in meet.shared
    )


def cross_lap(
    a: Part,
    b: Part,
    clearance_mm: float = 0.0,
    *,
    split: float = 0.5,
    end_clearance_mm: float = 0.0,
    a_opens: Opens = "auto",
) -> CrossLap:
    """Halve two crossing sheets into each other; exact at any angle and any two thicknesses.

    The slot in sheet 1 is t2 / sin θ + t1 |cot θ| + clearance wide: what a cut square to the
    face must remove to let the tilted sheet 2 through. Each slot starts where the shared line is
    split and runs out over its own part's edge; which part opens at which end is chosen so that
    the slots are shortest. Where both ways are as short, part a opens at the end of the line,
    the way of the world axis it follows. Of several intervals the longest is returned.

    Parameters
    ----------
    clearance_mm : float
        Added to both widths; below 0 for a press fit.
    split : float
        The share of the shared length that part a's slot takes.
    end_clearance_mm : float
        Gap left between the two slot bottoms, half from each.
    a_opens : {"auto", "start", "end"}
        At which end of the shared line part a's slot is open.

    Raises
    ------
    PartsDoNotMeetError
        If the sheets are parallel or share no material along their line.
    AssemblyError
        If a number is out of range.
    """
    laps = cross_laps(
        a, b, clearance_mm, split=split, end_clearance_mm=end_clearance_mm, a_opens=a_opens
    )
    return max(laps, key=lambda lap: lap.shared_mm)
