"""Which cross-laps open together: copies cut from one shape have their slots in common."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ...arrays import FloatArray
from ..solids import Part, as_pose, world_to_part
from .joint import Joint
from .shared_lines import shared_line_groups
from .whole import whole_laps

__all__ = ["Coupling", "Side", "coupled_laps"]

Side = Literal["start", "end"]
SAME_PLACE_MM = 0.2
"""Ends of two slots in one shape that are nearer than this are one and the same."""


@dataclass(frozen=True, slots=True)
class Coupling:
    """Joints that can only be turned together, by their numbers.

    ``opens`` says at which end of the line part a's slot opens in each when the coupling is not
    turned, ``lines`` holds each joint's unit direction in the world. A coupling ``is_free`` if
    nobody chose a side in it, and its copies do not contradict each other.
    """

    joints: tuple[int, ...]
    opens: tuple[Side, ...]
    lines: tuple[tuple[float, float, float], ...]
    is_free: bool

    def sides(self, turned: bool) -> dict[int, Side]:
        """The side of each joint, by its number."""
        pairs = zip(self.joints, self.opens, strict=True)
        return {number: _side((side == "start") != turned) for number, side in pairs}


@dataclass(frozen=True, slots=True, eq=False)
class _Slot:
    """One joint's slot in one shape: the end it is open at, if a's opens at the start."""

    joint: int
    group: int
    mouth: FloatArray
    other: FloatArray


def coupled_laps(
    parts: Sequence[Part], joints: Sequence[Joint], groups: Sequence[int]
) -> tuple[Coupling, ...]:
    """Gather the laps of parts that meet into couplings, in the order of their first joints.

    Parameters
    ----------
    parts, joints
        The assembly; joints name parts by their number.
    groups
        One number a part: copies of one part share it.
    """
    crossing = whole_laps(parts, joints)
    # Sheets through one line are ordered along it; turning one of their joints alone says nothing.
    for shared in shared_line_groups(joints, crossing):
        for number in shared:
            del crossing[number]
    sides: dict[int, Side] = {}
    lines: dict[int, tuple[float, float, float]] = {}
    slots: list[_Slot] = []
    for number, laps in crossing.items():
        joint = joints[number]
        sides[number], lines[number] = laps[0].a_opens, laps[0].direction
        ends = np.array((laps[0].line[0], laps[-1].line[1]))
        for part, order in ((joint.a, (0, 1)), (joint.b, (1, 0))):
            own = world_to_part(as_pose(parts[part].pose), ends)[list(order), :2]
            slots.append(_Slot(number, groups[part], own[0], own[1]))
    linked = _links(slots)
    couplings, seen = [], set[int]()
    for first in sides:
        if first not in seen:
            parity, agrees = _followed(first, linked)
            seen |= parity.keys()
            members = tuple(sorted(parity))
            start = (sides[first] == "start") != parity[first]
            opens = tuple(_side(start != parity[n]) for n in members)
            chosen = any(joints[n].a_opens != "auto" for n in members)
            free = agrees and not chosen
            # What a person chose, and copies that contradict each other, stay as they are.
            kept = opens if free else tuple(sides[n] for n in members)
            couplings.append(Coupling(members, kept, tuple(lines[n] for n in members), free))
    return tuple(couplings)


def _side(at_start: bool) -> Side:
    return "start" if at_start else "end"


def _links(slots: Sequence[_Slot]) -> dict[int, list[tuple[int, bool]]]:
    """For each joint those that share a slot with it, and whether they open opposite ways."""
    linked: dict[int, list[tuple[int, bool]]] = {slot.joint: [] for slot in slots}
    shapes: dict[int, list[_Slot]] = {}
    for slot in slots:
        shapes.setdefault(slot.group, []).append(slot)
    for own in shapes.values():
        mouths = np.stack([slot.mouth for slot in own])
        others = np.stack([slot.other for slot in own])
        for i, slot in enumerate(own[:-1]):
            for flip, (p, q) in ((False, (mouths, others)), (True, (others, mouths))):
                away = np.abs(p[i + 1 :] - slot.mouth).max(axis=1)
                away = np.maximum(away, np.abs(q[i + 1 :] - slot.other).max(axis=1))
                for j in np.flatnonzero(away < SAME_PLACE_MM) + i + 1:
                    linked[slot.joint].append((own[j].joint, flip))
                    linked[own[j].joint].append((slot.joint, flip))
    return linked


def _followed(
    first: int, linked: dict[int, list[tuple[int, bool]]]
) -> tuple[dict[int, bool], bool]:
    """Every joint coupled to the first, whether it opens the other way, and whether all agree."""
    parity, queue, agrees = {first: False}, [first], True
    while queue:
        joint = queue.pop()
        for other, flip in linked[joint]:
            wanted = parity[joint] != flip
            if other not in parity:
                parity[other] = wanted
                queue.append(other)
            agrees = agrees and parity[other] == wanted
    return parity, agrees
