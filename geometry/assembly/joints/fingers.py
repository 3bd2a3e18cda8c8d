"""Finger joints: two boards that meet at an edge, each with fingers where the other has gaps.

Along the line of the edge the corner is dealt out in turns. Where an interval is one board's, that
board goes on through the other one's thickness, and the other one ends at its near face; so
nothing is shared at any angle, and each comes out along its own plane. One finger for the whole
length is a butt joint: the first board goes over the end of the second.
"""

import itertools
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ...arrays import FloatArray
from ...errors import AssemblyError, PartsDoNotMeetError
from ...outline.curves import Profile
from ..solids import CHORD_MM, Band, Interval, Meeting, Part, Plate, cross_sheets
from .edge_meeting import TOUCH_MM, body_side, box_across, edge_at, in_line

__all__ = ["FingerJoint", "FingerRule", "finger_joint"]

World = tuple[float, float, float]
STEEPEST_RAD = math.radians(60.0)
"""Boards that meet more askew leave fingers that are mostly gap: common practice, no source."""
USUAL_WIDTH = 3.0
"""Width of a finger in thicknesses of the thicker board: common practice, no source."""
PAST_MM = 1.0
"""How far cuts run past an edge."""


@dataclass(frozen=True, slots=True)
class FingerRule:
    """How an edge is dealt out; 0 leaves a number to be chosen.

    ``count`` is the number of fingers of both boards together: with an odd one both ends are the
    first board's, with 1 it goes over the whole end of the second. Given only ``width_mm``, as
    many as come nearest to it are laid, an odd number. ``ends`` as for tabs: "fitted" fingers end
    square within the corner, "through" go on until their whole end stands out, to be cut flush.
    """

    count: int = 0
    width_mm: float = 0.0
    ends: Literal["fitted", "through"] = "fitted"


@dataclass(frozen=True, slots=True)
class FingerJoint:
    """What two boards lose and gain at their common edge, each in its own x, y.

    ``fingers_a`` and ``fingers_b`` are where each goes through the other one's thickness.
    ``line`` is the edge on both mid-planes, in the world; ``gap_mm`` how far the far corner of a
    finger's square end stays behind the other board's outer face, 0 at a right angle.
    """

    cuts_a: tuple[Profile, ...]
    cuts_b: tuple[Profile, ...]
    gains_a: tuple[Profile, ...]
    gains_b: tuple[Profile, ...]
    fingers_a: tuple[Profile, ...]
    fingers_b: tuple[Profile, ...]
    line: tuple[World, World]
    angle_rad: float
    count: int
    width_mm: float
    gap_mm: float
    stands_out_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """One board at the edge: where its body lies, and the levels at which it and fingers end."""

    band: Band
    side: int
    level: float
    shoulder: float
    tip: float

    @property
    def beyond(self) -> float:
        """A level past everything drawn on the far side."""
        low, high = in_line(self.band).bounds[1::2]
        drawn = low if self.side > 0 else high
        outermost = min(drawn, self.tip) if self.side > 0 else max(drawn, self.tip)
        return float(outermost - self.side * PAST_MM)

    @property
    def falls_short(self) -> bool:
        """Whether what is drawn ends before the tips of fingers do."""
        low, high = in_line(self.band).bounds[1::2]
        drawn = low if self.side > 0 else high
        return bool(self.side * (drawn - self.tip) > CHORD_MM)


def finger_joint(
    a: Part, b: Part, clearance_mm: float = 0.0, *, rule: FingerRule | None = None
) -> FingerJoint:
    """Join two boards at a common edge with fingers; drawn to inside or to outside size.

    Parameters
    ----------
    a, b
        Boards that both end at each other. What is drawn past the corner is cut away, what ends at
        the other one's near face is lengthened.
    clearance_mm
        What every gap is wider than the finger in it; below 0 for a press fit.
    rule
        Number and width of the fingers.

    Raises
    ------
    PartsDoNotMeetError
        If the boards are parallel, or one of them does not end at the other.
    AssemblyError
        If they meet at less than 60° or more than 120°, or a number is out of range.
    """
    rule = rule or FingerRule()
    _check(rule, clearance_mm)
    meet = cross_sheets(Plate.of(a), Plate.of(b))
    first = f"“{a.name}”" if a.name else "The first part"
    second = f"“{b.name}”" if b.name else "the second part"
    if meet is None:
        raise PartsDoNotMeetError(
            "{first} and {second} are parallel and share no edge. Turn one.",
            first=first,
            second=second,
        )
    sides, along = _at_edge(meet, rule, (first, second))
    shared = [
        (max(p[0], q[0]), min(p[1], q[1]))
        for p in along[0]
        for q in along[1]
        if min(p[1], q[1]) - max(p[0], q[0]) > TOUCH_MM
    ]
    if not shared:
        raise PartsDoNotMeetError(
            "{first} and {second} end at each other's planes, but not along a common edge. Move "
            "one of them.",
            first=first,
            second=second,
        )
    if meet.angle_rad < STEEPEST_RAD - 1e-9:
        raise AssemblyError(
            "{first} and {second} meet at {angle_deg:.0f}°. Finger joints are made from 60 to "
            "120°; tab and slot the two, or turn one.",
            first=first,
            second=second,
            angle_deg=math.degrees(meet.angle_rad),
        )
    return _built(meet, sides, sorted(shared), clearance_mm, rule)


def _at_edge(
    meet: Meeting, rule: FingerRule, names: tuple[str, str]
) -> tuple[tuple[_Side, _Side], list[list[Interval]]]:
    """Both boards at the edge, and the intervals along which each ends at the other."""
    sides, along = [], []
    for band, other, called in ((meet.a, meet.b, names), (meet.b, meet.a, names[::-1])):
        side = body_side(band, *called)
        level, ends = edge_at(band, side, *called)
        shoulder = side * 0.5 * band.width_mm
        depth = _depth(band, other, meet.angle_rad, rule)
        sides.append(_Side(band, side, level, shoulder, shoulder - side * depth))
        along.append(ends)
    return (sides[0], sides[1]), along


def _check(rule: FingerRule, clearance_mm: float) -> None:
    if not (math.isfinite(rule.width_mm) and math.isfinite(clearance_mm)):
        raise AssemblyError(
            "The width of fingers and the clearance must be finite lengths in mm. Type them again."
        )
    if rule.width_mm < 0.0 or rule.count < 0:
        raise AssemblyError(
            "The number and the width of fingers cannot be below 0. Type them again."
        )
    if rule.ends not in ("fitted", "through"):
        raise AssemblyError(
            ("Fingers end “fitted” or “through”, not “{ends}”. Choose one of them."), ends=rule.ends
        )


def _depth(band: Band, other: Band, angle: float, rule: FingerRule) -> float:
    """How far a finger goes on from where its board meets the other one's near face."""
    through = other.sheet.thickness_mm / math.sin(angle)
    if rule.ends == "through":
        through += band.sheet.thickness_mm / math.tan(angle)
    return through


def _dealt(shared: list[Interval], rule: FingerRule, usual_mm: float) -> list[list[Interval]]:
    """Stretches of the edge for the first board and for the second, in turns from the start."""
    turns: list[list[Interval]] = [[], []]
    for low, high in shared:
        width = rule.width_mm or usual_mm
        odd = 2 * max(round(((high - low) / width - 1.0) / 2.0), 1) + 1
        count = rule.count or odd
        levels = np.linspace(low, high, count + 1).tolist()
        for i, (start, end) in enumerate(itertools.pairwise(levels)):
            turns[i % 2].append((start, end))
    return turns


def _built(
    meet: Meeting,
    sides: tuple[_Side, _Side],
    shared: list[Interval],
    clearance_mm: float,
    rule: FingerRule,
) -> FingerJoint:
    thickest = max(side.band.sheet.thickness_mm for side in sides)
    dealt = _dealt(shared, rule, USUAL_WIDTH * thickest)
    width = min(high - low for turns in dealt for low, high in turns)
    if width <= abs(clearance_mm):
        raise AssemblyError(
            "Fingers of {width_mm:.2f} mm are no wider than their clearance. Lay fewer of them.",
            width_mm=width,
        )
    ends = [end for interval in shared for end in interval]
    cuts = [_cuts(side, dealt[1 - i], shared, ends, clearance_mm) for i, side in enumerate(sides)]
    fingers = [
        tuple(box_across(side.band, turn, (side.shoulder, side.tip)) for turn in dealt[i])
        for i, side in enumerate(sides)
    ]
    gains = [_gains(side, dealt[i], ends, clearance_mm) for i, side in enumerate(sides)]

    def world(u: float) -> World:
        place: FloatArray = meet.origin + u * meet.direction
        return (float(place[0]), float(place[1]), float(place[2]))

    thinnest = min(side.band.sheet.thickness_mm for side in sides)
    rise = thinnest / math.tan(meet.angle_rad)
    return FingerJoint(
        *(cuts[0], cuts[1]),
        *(gains[0], gains[1]),
        *(fingers[0], fingers[1]),
        line=(world(shared[0][0]), world(shared[-1][1])),
        angle_rad=meet.angle_rad,
        count=sum(len(turns) for turns in dealt),
        width_mm=width,
        gap_mm=rise if rule.ends == "fitted" else 0.0,
        stands_out_mm=rise if rule.ends == "through" else 0.0,
    )


def _cuts(
    side: _Side,
    gaps: list[Interval],
    shared: list[Interval],
    ends: list[float],
    clearance_mm: float,
) -> tuple[Profile, ...]:
    """Gaps for the other board's fingers, and what is drawn past the tips of its own."""
    boxes = []
    for low, high in gaps:
        # Half of the play of a wall on each board; at an end of the edge all of it on this one.
        before, after = (0.5 if end in ends else 0.25 for end in (low, high))
        turn = (low - before * clearance_mm, high + after * clearance_mm)
        boxes.append(box_across(side.band, turn, (side.shoulder, side.beyond)))
    if not side.falls_short:
        past = (side.tip, side.beyond)
        boxes += [box_across(side.band, interval, past) for interval in shared]
    return tuple(boxes)


def _gains(
    side: _Side, turns: list[Interval], ends: list[float], clearance_mm: float
) -> tuple[Profile, ...]:
    """Fingers of a board that is drawn to inside size."""
    if not side.falls_short:
        return ()
    rooted = side.level + side.side * 2.0 * TOUCH_MM
    boxes = []
    for low, high in turns:
        before, after = (0.0 if end in ends else 0.25 for end in (low, high))
        turn = (low + before * clearance_mm, high - after * clearance_mm)
        boxes.append(box_across(side.band, turn, (rooted, side.tip)))
    return tuple(boxes)
