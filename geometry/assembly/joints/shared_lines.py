"""Three sheets or more through one line: each keeps an interval of it to itself.

The line is divided from the bottom to the top, one interval a sheet. A sheet is whole along its own
interval and slotted from there to both its edges, so the lowest has one slot, open at the top, the
highest one open at the bottom, those between have two. Built from the lowest up, every sheet comes
down along the line: its lower slot straddles what stands already, and its whole interval comes to
lie in their upper slots, which are open. For any two of the sheets this is a cross-lap whose slots
reach past each other over the intervals of those between.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Literal

import numpy as np

from ...arrays import FloatArray
from ...errors import AssemblyError
from ..solids import Part
from .crosslap import CrossLap
from .joint import Joint
from .whole import whole_laps

__all__ = ["copies_along_lines", "shared_line_groups", "shared_line_laps"]

SAME_LINE_MM = 0.5
"""Laps of one part whose lines are nearer than this run along one line."""
LEAST_INTERVAL_MM = 1.0
"""A sheet that kept less than this of the line would break there."""
Crossing = Mapping[int, tuple[CrossLap, ...]]
Remade = Callable[[int, float, Literal["start", "end"], float], CrossLap]
"""A joint's lap anew: its number, the fraction of the line from its start at which its slots end,
the end part a's opens at, and the interval in mm that is left free between the two slots."""


def shared_line_groups(joints: Sequence[Joint], crossing: Crossing) -> list[list[int]]:
    """Numbers of the joints whose laps run along one line, of three parts or more each time."""
    of_part: dict[int, list[tuple[int, FloatArray]]] = {}
    linked: dict[int, set[int]] = {number: set() for number in crossing}
    for number, laps in crossing.items():
        for lap in laps:
            line = np.array(lap.line)
            for part in (joints[number].a, joints[number].b):
                known = of_part.setdefault(part, [])
                for other in _along(line, known):
                    if other != number:
                        linked[number].add(other)
                        linked[other].add(number)
                known.append((number, line))
    found, seen = [], set[int]()
    for first in linked:
        if first not in seen and linked[first]:
            members, queue = {first}, [first]
            while queue:
                more = linked[queue.pop()] - members
                members |= more
                queue += more
            seen |= members
            if len({p for n in members for p in (joints[n].a, joints[n].b)}) > 2:
                found.append(sorted(members))
    return found


def _along(line: FloatArray, known: Sequence[tuple[int, FloatArray]]) -> list[int]:
    """Joints of those known whose interval (2, 3) lies on the same line and overlaps it."""
    if not known:
        return []
    length = float(np.linalg.norm(line[1] - line[0]))
    along = (line[1] - line[0]) / length
    offset = np.stack([interval for _, interval in known]) - line[0]
    at = offset @ along
    away = np.linalg.norm(offset - at[..., None] * along, axis=2).max(axis=1)
    overlap = np.minimum(at.max(axis=1), length) - np.maximum(at.min(axis=1), 0.0)
    hit = np.flatnonzero((away < SAME_LINE_MM) & (overlap > SAME_LINE_MM))
    return [known[i][0] for i in hit]


def copies_along_lines(
    parts: Sequence[Part], joints: Sequence[Joint], groups: Sequence[int]
) -> tuple[int, ...]:
    """Parts that need a shape of their own, because a copy of theirs goes through the same line.

    Parameters
    ----------
    parts, joints
        The assembly; joints name parts by their number.
    groups
        One number a part: copies of one part share it.
    """
    apart: set[int] = set()
    for numbers in shared_line_groups(joints, whole_laps(parts, joints)):
        seen: set[int] = set()
        for sheet in sorted({part for n in numbers for part in (joints[n].a, joints[n].b)}):
            if groups[sheet] in seen:
                apart.add(sheet)
            seen.add(groups[sheet])
    return tuple(sorted(apart))


def shared_line_laps(
    parts: Sequence[Part],
    joints: Sequence[Joint],
    groups: Sequence[int],
    crossing: Crossing,
    remade: Remade,
) -> dict[int, tuple[CrossLap, ...]]:
    """Return the laps of joints along shared lines, by their numbers, so that all have room.

    Who keeps the lower interval follows the sides chosen for the joints: the sheet whose slot opens
    at the end of the line is below. What is automatic follows the order of the parts.

    Parameters
    ----------
    parts, joints, groups
        As for `join_parts`.
    crossing
        Every lap, as it is when its two sheets are alone.
    remade
        Makes a joint's lap anew; see `Remade`.

    Raises
    ------
    AssemblyError
        If two of the sheets are not joined or are copies of one shape, if they meet along several
        intervals or none they all share, or if the sides chosen contradict each other.
    """
    made: dict[int, tuple[CrossLap, ...]] = {}
    for numbers in shared_line_groups(joints, crossing):
        sheets = sorted({part for n in numbers for part in (joints[n].a, joints[n].b)})
        listed = ", ".join(f"“{parts[i].name or i + 1}”" for i in sheets)
        told = f"{listed} cross along one and the same line"
        _check(numbers, sheets, parts, joints, groups, crossing, told)
        order = _from_below(numbers, sheets, joints, crossing, told)
        low, high = _common(numbers, crossing)
        if high - low < LEAST_INTERVAL_MM * len(sheets):
            raise AssemblyError(
                "{told}, but share only {high:.1f} mm of it, too little to divide "
                "among {sheets_count}. Make them meet along more of the line, or "
                "remove a joint.",
                told=told,
                high=max(high - low, 0.0),
                sheets_count=len(sheets),
            )
        levels = np.linspace(low, high, len(sheets) + 1)
        start = np.array(crossing[numbers[0]][0].line[0])
        along = np.array(crossing[numbers[0]][0].direction)
        for number in numbers:
            made[number] = (
                _lap(
                    number,
                    joints[number],
                    crossing[number][0],
                    order,
                    levels,
                    (start, along),
                    remade,
                ),
            )
    return made


def _check(
    numbers: Sequence[int],
    sheets: Sequence[int],
    parts: Sequence[Part],
    joints: Sequence[Joint],
    groups: Sequence[int],
    crossing: Crossing,
    told: str,
) -> None:
    """Refuse what cannot be divided along a line."""

    def named(i: int) -> str:
        return f"“{parts[i].name or i + 1}”"

    pairs = {frozenset((joints[n].a, joints[n].b)) for n in numbers}
    for k, i in enumerate(sheets):
        for j in sheets[k + 1 :]:
            if frozenset((i, j)) not in pairs:
                raise AssemblyError(
                    "{told}, but {named} and {named_2} are not lapped with each "
                    "other there. Lap them too, or move one of the sheets aside.",
                    told=told,
                    named=named(i),
                    named_2=named(j),
                )
            if groups[i] == groups[j]:
                raise AssemblyError(
                    "{told}, and each needs slots of its own, but {named} and "
                    "{named_2} are copies of one shape. Make each a single user of "
                    "its data, then lap them.",
                    told=told,
                    named=named(i),
                    named_2=named(j),
                )
    if any(len(crossing[n]) > 1 or crossing[n][0].intervals > 1 for n in numbers):
        raise AssemblyError(
            "{told} in several stretches. Only sheets that meet along one stretch "
            "can share it: close their holes there, or move one of them aside.",
            told=told,
        )


def _from_below(
    numbers: Sequence[int],
    sheets: Sequence[int],
    joints: Sequence[Joint],
    crossing: Crossing,
    told: str,
) -> list[int]:
    """The sheets from the one that keeps the lowest interval to the highest."""
    above: dict[int, set[int]] = {sheet: set() for sheet in sheets}
    along = np.array(crossing[numbers[0]][0].direction)
    for number in numbers:
        joint = joints[number]
        if joint.a_opens != "auto":
            agrees = bool(np.array(crossing[number][0].direction) @ along > 0.0)
            a_below = (joint.a_opens == "end") == agrees
            above[joint.a if a_below else joint.b].add(joint.b if a_below else joint.a)
    order: list[int] = []
    while len(order) < len(sheets):
        rest = [s for s in sheets if s not in order]
        free = [s for s in rest if not any(s in above[other] for other in rest)]
        if not free:
            raise AssemblyError(
                "{told}, and the sides chosen for their joints put each below the "
                "next. Leave one of the joints automatic.",
                told=told,
            )
        order.append(free[0])
    return order


def _common(numbers: Sequence[int], crossing: Crossing) -> tuple[float, float]:
    """The interval all the joints share, measured along the first one's line from its start."""
    first = crossing[numbers[0]][0]
    start, along = np.array(first.line[0]), np.array(first.direction)
    ends = np.array([crossing[n][0].line for n in numbers]) @ along - start @ along
    return float(ends.min(axis=1).max()), float(ends.max(axis=1).min())


def _lap(
    number: int,
    joint: Joint,
    alone: CrossLap,
    order: Sequence[int],
    levels: FloatArray,
    frame: tuple[FloatArray, FloatArray],
    remade: Remade,
) -> CrossLap:
    """The lap of two sheets of a group: slots to the lower's top and to the upper's bottom."""
    start, along = frame
    first, second = order.index(joint.a), order.index(joint.b)
    lower, upper = min(first, second), max(first, second)
    # The interval between the two belongs to others, and both are slotted there.
    low, high = float(levels[lower + 1]), float(levels[upper])
    # From the start of the pair's own line, which may run the other way.
    ends = (np.array(alone.line) - start) @ along
    fraction = float((0.5 * (low + high) - ends[0]) / (ends[1] - ends[0]))
    at_end = (first < second) == bool(ends[0] < ends[1])
    return remade(number, fraction, "end" if at_end else "start", high - low)
