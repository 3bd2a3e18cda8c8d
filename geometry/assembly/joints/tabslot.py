"""Tab and slot: a sheet that ends at another one's face goes through it with tabs.

In the plane of the sheet that carries the tabs, the other sheet throws a shadow across their shared
line. Between its tabs the sheet ends where that shadow begins; a tab goes on until no corner of it
would stand out of the far face. In the other sheet every tab needs a slot as wide as its own
shadow there, or, where that sheet ends at the line too, a notch that is open at the edge.
"""

import math
from dataclasses import dataclass
from typing import Literal

from ...arrays import FloatArray
from ...errors import AssemblyError, PartsDoNotMeetError
from ...outline.curves import Profile
from ..solids import CHORD_MM, Band, Interval, Meeting, Part, Plate, cross_sheets
from .edge_meeting import TOUCH_MM, body_side, box_across, edge_at, held_by, in_line

__all__ = ["TabRule", "TabSlot", "tab_slot"]

World = tuple[float, float, float]
USUAL_WIDTH = 3.0
"""Width of a tab in thicknesses of its sheet: common practice, no source."""


@dataclass(frozen=True, slots=True)
class TabRule:
    """How tabs are laid along a meeting; 0 leaves a number to be chosen.

    ``margin_mm`` is kept free at both ends, ``web_mm`` beside a slot: narrower than that it opens
    at the edge. ``standing_out_mm`` is how far tabs stand out of the far face, below 0 recessed.
    ``ends`` matters where sheets meet askew: "fitted" tabs end square within the other sheet, in
    slots no wider than what of them lies in it; "through" tabs go on until their whole end stands
    out, to be cut flush, and hold by their faces; "wide" slots let a whole sheet through although
    the tabs end within it, as in files of 0.1.0, and leave play.
    """

    count: int = 0
    width_mm: float = 0.0
    margin_mm: float = 0.0
    web_mm: float = 0.0
    standing_out_mm: float = 0.0
    ends: Literal["fitted", "through", "wide"] = "fitted"


@dataclass(frozen=True, slots=True)
class TabSlot:
    """What a meeting adds to the sheet with tabs, and what both sheets lose.

    ``tabs`` and ``shoulders`` are in part a's own x, y: joined to it, and cut from it first.
    ``slots`` are in part b's. ``line`` is the interval where they meet, on both mid-planes, in the
    world. ``opens`` says whether the slots are open at b's edge, as at a corner. An edge that
    ends a little short of the face is lengthened by ``lengthened_mm``, first among ``tabs``.
    ``contact`` is where part a stands on b, in b's own x, y. ``play_mm`` is how far a tab can move
    across its slot, ``stands_out_mm`` how far its end reaches past b's far face, along the tab.
    """

    tabs: tuple[Profile, ...]
    shoulders: tuple[Profile, ...]
    slots: tuple[Profile, ...]
    line: tuple[World, World]
    angle_rad: float
    tab_width_mm: float
    tab_depth_mm: float
    slot_width_mm: float
    opens: bool
    lengthened_mm: float
    contact: tuple[Profile, ...] = ()
    play_mm: float = 0.0
    stands_out_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class _Ending:
    """How far tabs go, measured from the shoulder, and how wide a slot must be for them.

    The slot reaches from the wall its tab leans over (where the sheet's near face meets the tab's
    outer face) ``width_mm`` to the other side. All in mm.
    """

    depth_mm: float
    width_mm: float
    play_mm: float
    stands_out_mm: float


def tab_slot(
    a: Part, b: Part, clearance_mm: float = 0.0, *, rule: TabRule | None = None
) -> TabSlot:
    """Let part a, which ends at part b's face, go through it with tabs.

    At an angle θ, a tab is t_b / sin θ long from the shoulder: its lower corner comes to lie in
    the far face. Its slot is as wide as the shadow, square to b, of what of the tab lies within b,
    its square end included: t_b / tan θ + t_a sin θ, never less than t_a / sin θ. Where t_b is
    below t_a cos θ only a wedge of the end lies within b, and plays in its slot; tabs that go
    through do not.

    Parameters
    ----------
    a, b
        The part with the tabs, and the one that is slotted.
    clearance_mm
        What every slot is larger than its tab, both ways; below 0 for a press fit.
    rule
        Number, width and margins of the tabs.

    Raises
    ------
    PartsDoNotMeetError
        If a does not end at b's face, goes through it, or is parallel to it.
    AssemblyError
        If no tab finds room, or a number is out of range.
    """
    rule = rule or TabRule()
    _check(rule, clearance_mm)
    meet = cross_sheets(Plate.of(a), Plate.of(b))
    first, second = _named(a, "The first part"), _named(b, "the second part")
    if meet is None:
        raise PartsDoNotMeetError(
            "{first} and {second} are parallel, so neither ends at the other's face. Turn one.",
            first=first,
            second=second,
        )
    side = body_side(meet.a, first, second)
    edge, ends = edge_at(meet.a, side, first, second)
    web = rule.web_mm or meet.b.sheet.thickness_mm
    held, open_side = held_by(meet.b, web, ends)
    if not held:
        raise PartsDoNotMeetError(
            "{first} ends at the plane of {second}, but not on its material. Move one of them.",
            first=first,
            second=second,
        )
    tabs = _laid(held, rule, meet.a.sheet.thickness_mm, meet.b.sheet.thickness_mm)
    if not tabs:
        longest = max(high - low for low, high in held)
        raise AssemblyError(
            "{first} and {second} meet along {longest:.1f} mm, too short for a tab "
            "with its margins. Give narrower tabs or smaller margins.",
            first=first,
            second=second,
            longest=longest,
        )
    return _built(meet, side, (edge, ends), tabs, open_side, web, clearance_mm, rule)


def _named(part: Part, otherwise: str) -> str:
    return f"“{part.name}”" if part.name else otherwise


def _check(rule: TabRule, clearance_mm: float) -> None:
    numbers = (rule.width_mm, rule.margin_mm, rule.web_mm)
    if not all(math.isfinite(n) for n in (*numbers, rule.standing_out_mm, clearance_mm)):
        raise AssemblyError(
            "Tab sizes and the clearance must be finite lengths in mm. Type them again."
        )
    if min(numbers) < 0.0 or rule.count < 0:
        raise AssemblyError(
            "The number, width and margins of tabs cannot be below 0. Type them again."
        )
    if rule.ends not in ("fitted", "through", "wide"):
        raise AssemblyError(
            ("Tabs end “fitted”, “through” or “wide”, not “{ends}”. Choose one of them."),
            ends=rule.ends,
        )


def _laid(held: list[Interval], rule: TabRule, ta: float, tb: float) -> list[Interval]:
    """Tabs evenly along each interval, gaps as wide as tabs unless a number is given."""
    tabs = []
    for low, high in held:
        margin = rule.margin_mm or tb
        room = high - low - 2.0 * margin
        width = rule.width_mm or min(USUAL_WIDTH * ta, max(room, 0.0))
        if width <= 0.0 or room < width - 1e-9 or width < 0.5 * min(ta, tb):
            continue
        count = rule.count or int((room + width) / (2.0 * width) + 1e-9)
        if count * width > room + 1e-9:
            continue
        gap = (room - count * width) / (count - 1) if count > 1 else 0.0
        start = low + margin if count > 1 else 0.5 * (low + high - width)
        starts = [start + i * (width + gap) for i in range(count)]
        tabs += [(at, at + width) for at in starts]
    return tabs


def _ending(ta: float, tb: float, angle: float, rule: TabRule) -> _Ending:
    """Where tabs t_a thick end in a sheet t_b thick, and the width of their slots."""
    sine, cosine = math.sin(angle), math.cos(angle)
    cotangent = cosine / sine
    if rule.ends == "through":
        usual = tb / sine + ta * cotangent
    else:
        usual = tb / sine
    depth = usual + rule.standing_out_mm
    # How far below the near face the two corners of the tab's end lie, square to the sheet.
    lower = depth * sine
    upper = lower - ta * cosine
    if upper >= 0.0:
        shadow = ta / sine + min(upper, tb) * cotangent
    else:
        # Only a wedge of the end lies in the sheet; its square end meets the near face.
        shadow = lower / (sine * cosine)
    width = ta / sine + tb * cotangent if rule.ends == "wide" else max(shadow, ta / sine)
    return _Ending(depth, width, width - shadow, max(depth - tb / sine, 0.0))


def _built(
    meet: Meeting,
    side: int,
    edge: tuple[float, list[Interval]],
    tabs: list[Interval],
    open_side: int,
    web: float,
    clearance_mm: float,
    rule: TabRule,
) -> TabSlot:
    ending = _ending(meet.a.sheet.thickness_mm, meet.b.sheet.thickness_mm, meet.angle_rad, rule)
    face = side * 0.5 * meet.a.width_mm
    slot_width = ending.width_mm + clearance_mm
    if min(ending.depth_mm, slot_width, tabs[0][1] - tabs[0][0] + clearance_mm) <= 0.0:
        raise AssemblyError("These numbers leave no tab or no slot. Make the tabs longer or wider.")
    level, ends = edge
    rooted = level + side * 2.0 * TOUCH_MM
    longer, shoulders = _edge_made(meet.a, side, face, edge)
    boxes = [(t, (rooted, face - side * ending.depth_mm)) for t in tabs]
    v = _slot_across(meet, side, ending.width_mm, clearance_mm)
    if open_side:
        v[0 if open_side < 0 else 1] = open_side * (0.5 * meet.b.width_mm + web + 1.0)
    half = 0.5 * clearance_mm
    slots = tuple(box_across(meet.b, (low - half, high + half), (v[0], v[1])) for low, high in tabs)
    across = 0.5 * meet.b.width_mm

    def world(u: float) -> World:
        place: FloatArray = meet.origin + u * meet.direction
        return (float(place[0]), float(place[1]), float(place[2]))

    return TabSlot(
        tabs=(*longer, *(box_across(meet.a, *box) for box in boxes)),
        lengthened_mm=abs(face - level) if longer else 0.0,
        shoulders=shoulders,
        slots=slots,
        line=(world(min(e[0] for e in ends)), world(max(e[1] for e in ends))),
        angle_rad=meet.angle_rad,
        tab_width_mm=tabs[0][1] - tabs[0][0],
        tab_depth_mm=ending.depth_mm,
        slot_width_mm=slot_width,
        opens=open_side != 0,
        contact=tuple(box_across(meet.b, end, (-across, across)) for end in ends),
        play_mm=ending.play_mm,
        stands_out_mm=ending.stands_out_mm,
    )


def _slot_across(meet: Meeting, side: int, width: float, clearance_mm: float) -> list[float]:
    """Both long edges of a slot, across the line in the slotted sheet, lower first.

    The tab leans over one edge of the whole shadow; what its square end leaves free lies at the
    other edge.
    """
    turn_a, turn_b = meet.a.to_line[:2, :2], meet.b.to_line[:2, :2]
    body = side * (meet.a.sheet.pose[:3, :2] @ turn_a[1])
    leans = float(body @ (meet.b.sheet.pose[:3, :2] @ turn_b[1]))
    reach, half = 0.5 * meet.b.width_mm, 0.5 * clearance_mm
    if leans >= 0.0:
        return [reach - width - half, reach + half]
    return [-reach - half, width - reach + half]


def _edge_made(
    band: Band, side: int, face: float, edge: tuple[float, list[Interval]]
) -> tuple[list[Profile], tuple[Profile, ...]]:
    """What the edge of the sheet with tabs gains or loses to end at the other one's face."""
    level, ends = edge
    rooted = level + side * 2.0 * TOUCH_MM
    # An edge that fell short is lengthened to the face all along.
    short = abs(face - level) > CHORD_MM
    longer = [box_across(band, end, (rooted, face)) for end in ends] if short else []
    shape = in_line(band)
    drawn_to = shape.bounds[3] if side < 0 else shape.bounds[1]
    if -side * (drawn_to - face) <= CHORD_MM:
        return longer, ()
    # The sheet was drawn into the other one's thickness: it ends at the face between tabs.
    past = drawn_to - side * 1.0
    shoulders = tuple(
        box_across(band, (low - TOUCH_MM, high + TOUCH_MM), (face, past)) for low, high in ends
    )
    return longer, shoulders
