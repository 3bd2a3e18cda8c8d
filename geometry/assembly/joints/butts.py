"""Butt joints: one board ends square at another one's face, held by screws, nuts or dowels.

The first board goes over, and has the holes; the second ends at its near face. Where both end at
each other, at a corner, what either has drawn past it is trimmed, so the order of the two is the
choice of which goes over. A captive nut lies in a pocket of the second board, behind a slot for the
screw; what a screw or a dowel needs in that board's edge is drilled by hand.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...errors import AssemblyError, PartsDoNotMeetError
from ...outline.curves import circle
from ..solids import Band, Interval, Meeting, Part, Plate, cross_sheets
from .edge_meeting import TOUCH_MM, body_side, box_across, edge_at, in_line, through
from .fasteners import Fastener, dowel_hole_mm, nut, screw_hole_mm, screw_length_mm
from .fingers import FingerRule, finger_joint
from .kind import Profiles, World

__all__ = ["ButtJoint", "ButtRule", "butt_joint"]

SQUARE_RAD = math.radians(1.0)
"""A screw square to one board runs along the other one's plane no further off than this."""
APART_MM = 100.0
"""Fasteners lie no further apart: common practice, no source."""
WEB_MM = 1.0
"""Least material beside a hole: common practice, no source."""
DEEP = 2.0
"""Material between an edge and a nut, in diameters of the screw: common practice, no source."""
SPARE_MM = 1.0
"""A screw's slot is so much longer than the screw reaches."""
PAST_MM = 1.0


@dataclass(frozen=True, slots=True)
class ButtRule:
    """What holds the boards, its nominal diameter, and how many; 0 leaves the number open."""

    fastener: Fastener = "none"
    size_mm: float = 3.0
    count: int = 0


@dataclass(frozen=True, slots=True)
class ButtJoint:
    """What the board that goes over and the one that ends at its face lose and gain.

    ``holes`` are in the first, ``pockets`` in the second, each in its own x, y; both are among the
    cuts. ``line`` is the edge on both mid-planes, in the world, ``screw_mm`` the length of the
    screws that fit, 0 where that is open.
    """

    cuts_over: Profiles
    cuts_under: Profiles
    gains_over: Profiles
    gains_under: Profiles
    holes: Profiles
    pockets: Profiles
    line: tuple[World, World]
    count: int
    screw_mm: float


def butt_joint(
    over: Part, under: Part, clearance_mm: float = 0.0, *, rule: ButtRule | None = None
) -> ButtJoint:
    """Join two boards that meet at a right angle, the first going over the end of the second.

    Parameters
    ----------
    over, under
        The board with the holes, and the one that ends at its near face.
    clearance_mm
        What the pocket of a nut is wider than the nut.
    rule
        What holds them.

    Raises
    ------
    PartsDoNotMeetError
        If the second does not end at the first.
    AssemblyError
        If they do not meet square, a hole has no room, or a size is in no table.
    """
    rule = rule or ButtRule()
    first = f"“{over.name}”" if over.name else "The first part"
    second = f"“{under.name}”" if under.name else "the second part"
    meet = cross_sheets(Plate.of(over), Plate.of(under))
    if meet is None:
        raise PartsDoNotMeetError(
            "{first} and {second} are parallel, so neither ends at the other. Turn one.",
            first=first,
            second=second,
        )
    side = body_side(meet.b, second, first)
    edge = _edge(meet, over, under, side, (first, second))
    places = _places(edge.shared, rule)
    holes = _holes(meet, rule, places)
    pockets, screw_mm = _pockets(meet, side, rule, places, clearance_mm)
    _refuse_narrow(meet.a, edge.gains[0], holes, first, rule)
    _refuse_pockets(meet.b, pockets, edge.gains[1], second)
    return ButtJoint(
        (*edge.cuts[0], *holes),
        (*edge.cuts[1], *pockets),
        *edge.gains,
        holes,
        pockets,
        (_world(meet, edge.shared[0][0]), _world(meet, edge.shared[-1][1])),
        len(places),
        screw_mm,
    )


@dataclass(frozen=True, slots=True)
class _Edge:
    """Stretches along which one board ends at the other, and what both lose and gain for it."""

    shared: list[Interval]
    cuts: tuple[Profiles, Profiles]
    gains: tuple[Profiles, Profiles]


def _edge(meet: Meeting, over: Part, under: Part, side: int, names: tuple[str, str]) -> _Edge:
    """The edge at a corner, where both end at each other, or else anywhere on the first one."""
    first, second = names
    level, ends = edge_at(meet.b, side, second, first)
    _refuse_askew(meet, first, second)
    try:
        corner = finger_joint(over, under, rule=FingerRule(count=1))
    except PartsDoNotMeetError:
        shared = _both(through(meet.a), ends)
        if not shared:
            raise PartsDoNotMeetError(
                "{second} ends beside {first}, not at its face. Move one of them.",
                first=first,
                second=second,
            ) from None
        gains = _short(meet.b, side, level, shared)
        return _Edge(shared, ((), _past(meet.b, side, shared)), ((), gains))
    low, high = (_along(meet, end) for end in corner.line)
    cuts = (corner.cuts_a, corner.cuts_b)
    return _Edge([(low, high)], cuts, (corner.gains_a, corner.gains_b))


def _refuse_askew(meet: Meeting, first: str, second: str) -> None:
    if abs(meet.angle_rad - 0.5 * math.pi) > SQUARE_RAD:
        raise AssemblyError(
            "{first} and {second} meet at {angle_deg:.0f}°. Butt joints are made square; join the "
            "two with fingers or tabs, or turn one.",
            first=first,
            second=second,
            angle_deg=math.degrees(meet.angle_rad),
        )


def _both(some: Sequence[Interval], others: Sequence[Interval]) -> list[Interval]:
    pairs = [(max(a[0], b[0]), min(a[1], b[1])) for a in some for b in others]
    return sorted((low, high) for low, high in pairs if high - low > TOUCH_MM)


def _world(meet: Meeting, u: float) -> World:
    x, y, z = (meet.origin + u * meet.direction).tolist()
    return (x, y, z)


def _along(meet: Meeting, place: World) -> float:
    return float((np.array(place) - meet.origin) @ meet.direction)


def _past(band: Band, side: int, shared: Sequence[Interval]) -> Profiles:
    """What a board has drawn past the near face it ends at."""
    low, high = in_line(band).bounds[1::2]
    face, drawn = side * 0.5 * band.width_mm, low if side > 0 else high
    if side * (face - drawn) <= 0.0:
        return ()
    reach = (face, float(drawn) - side * PAST_MM)
    return tuple(box_across(band, interval, reach) for interval in shared)


def _short(band: Band, side: int, level: float, shared: Sequence[Interval]) -> Profiles:
    """What a board that ends a little short of the face gains."""
    face = side * 0.5 * band.width_mm
    if side * (level - face) <= TOUCH_MM:
        return ()
    rooted = level + side * 2.0 * TOUCH_MM
    return tuple(box_across(band, interval, (rooted, face)) for interval in shared)


def _places(shared: Sequence[Interval], rule: ButtRule) -> tuple[float, ...]:
    """Where along the edge fasteners lie: evenly, half as far from its ends as apart."""
    if rule.fastener == "none":
        return ()
    if rule.count < 0 or not math.isfinite(rule.size_mm):
        raise AssemblyError(
            "The number of fasteners is 0 or more, and their size a length in mm. Type them again."
        )
    low, high = max(shared, key=lambda interval: interval[1] - interval[0])
    count = rule.count or max(math.ceil((high - low) / APART_MM), 2)
    step = (high - low) / count
    return tuple(low + (k + 0.5) * step for k in range(count))


def _holes(meet: Meeting, rule: ButtRule, places: Sequence[float]) -> Profiles:
    """Holes through the board that goes over, in the middle of the other one's edge."""
    if not places:
        return ()
    size = dowel_hole_mm if rule.fastener == "dowel" else screw_hole_mm
    diameter = size(rule.size_mm)
    turn, shift = meet.a.to_line[:2, :2], meet.a.to_line[:2, 2]
    own = (np.array([(u, 0.0) for u in places]) - shift) @ turn
    return tuple(circle(diameter, (float(x), float(y))) for x, y in own)


def _pockets(
    meet: Meeting, side: int, rule: ButtRule, places: Sequence[float], clearance_mm: float
) -> tuple[Profiles, float]:
    """For captive nuts a slot for each screw with a pocket across, and the screws' length."""
    if rule.fastener != "nut":
        return (), 0.0
    found, room = nut(rule.size_mm), max(clearance_mm, 0.0)
    thickness = meet.a.sheet.thickness_mm
    deep = DEEP * rule.size_mm
    length = screw_length_mm(thickness + deep + found.height_mm)
    face = side * 0.5 * meet.b.width_mm
    slot, wide = 0.5 * screw_hole_mm(rule.size_mm), 0.5 * (found.across_mm + room)
    boxes = []
    for u in places:
        end = face + side * (length - thickness + SPARE_MM)
        boxes.append(box_across(meet.b, (u - slot, u + slot), (face - side * PAST_MM, end)))
        pocket = (face + side * deep, face + side * (deep + found.height_mm + room))
        boxes.append(box_across(meet.b, (u - wide, u + wide), pocket))
    return tuple(boxes), length


def _refuse_narrow(
    band: Band, gains: Profiles, holes: Profiles, first: str, rule: ButtRule
) -> None:
    """Refuse holes that come out at an edge of the board that goes over."""
    shape = band.sheet.polygon
    for gain in gains:
        shape = shape.union(gain.polygon())
    for hole in holes:
        disc = hole.polygon()
        if not shape.contains(disc.buffer(WEB_MM)):
            raise AssemblyError(
                "A hole of {hole_mm:g} mm at ({x:.1f}, {y:.1f}) mm leaves less than {web_mm:g} mm "
                "of {first} beside it. Take a smaller {what} or fewer, or let the board reach "
                "further.",
                hole_mm=hole.outer.length_mm / math.pi,
                x=disc.centroid.x,
                y=disc.centroid.y,
                web_mm=WEB_MM,
                first=first,
                what="dowel" if rule.fastener == "dowel" else "screw",
            )


def _refuse_pockets(band: Band, pockets: Profiles, gains: Profiles, second: str) -> None:
    """Refuse nuts that have no room in the second board, or no material round them."""
    shape = band.sheet.polygon
    for gain in gains:
        shape = shape.union(gain.polygon())
    for slot, pocket in zip(pockets[::2], pockets[1::2], strict=True):
        room, way = pocket.polygon(), slot.polygon()
        # The slot begins a little before the edge.
        width = min(side.length_mm for side in slot.outer.segments)
        before = (PAST_MM + TOUCH_MM) * width
        if not shape.contains(room.buffer(WEB_MM)) or way.difference(shape).area > before:
            raise AssemblyError(
                "A captive nut at ({x:.1f}, {y:.1f}) mm leaves less than {web_mm:g} mm of {second} "
                "round it. Take a smaller screw or fewer of them.",
                x=room.centroid.x,
                y=room.centroid.y,
                web_mm=WEB_MM,
                second=second,
            )
