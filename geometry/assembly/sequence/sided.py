"""The assembly with its slots opened from one choice of sides or another."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...arrays import FloatArray
from ...errors import AssemblyError
from ...outline.curves import Profile
from ..joints import Joint, Opens, Side, coupled_laps, join_parts
from ..solids import Part
from .disassembly import DisassemblyPlanner, Step, inset_sheets

__all__ = ["GIVE_MM", "Own", "Sided", "State", "restated"]

GIVE_MM = 0.1
"""Overlaps thinner than this are contact, so that press fits still go together."""


@dataclass(frozen=True, slots=True, eq=False)
class Own:
    """One lap of a part: its coupling, the part it goes into, their line (world, unit).

    ``open_behind`` says whether, with the coupling not turned, the part can leave along the line.
    """

    coupling: int
    other: int
    line: FloatArray
    open_behind: bool


class Sided:
    """The assembly under some choice of sides, and what is known of it."""

    def __init__(
        self,
        parts: Sequence[Part],
        joints: Sequence[Joint],
        groups: Sequence[int],
        other_cuts: Mapping[int, Sequence[Profile]] | None,
    ) -> None:
        self.parts, self.joints, self.groups, self.cuts = parts, joints, groups, other_cuts
        self.couplings = coupled_laps(parts, joints, groups)
        self._shapes: dict[tuple[int, tuple[str, ...]], Profile] = {}

    def sides(self, turned: frozenset[int]) -> dict[int, Side]:
        """The side of every lap, with these couplings turned."""
        found: dict[int, Side] = {}
        for number, coupling in enumerate(self.couplings):
            found |= coupling.sides(number in turned)
        return found

    def profiles(self, turned: frozenset[int]) -> list[Profile]:
        """The shapes of all groups; a shape whose slots are the same is the same object."""
        sides = self.sides(turned)
        sided: list[Joint] = []
        touching: dict[int, list[str]] = {group: [] for group in self.groups}
        for number, joint in enumerate(self.joints):
            side: Opens = sides.get(number, joint.a_opens)
            sided.append(replace(joint, a_opens=side))
            for group in (self.groups[joint.a], self.groups[joint.b]):
                touching[group].append(side)
        made = join_parts(self.parts, sided, groups=self.groups, other_cuts=self.cuts)
        return [
            self._shapes.setdefault((group, tuple(touching[group])), profile)
            for group, profile in zip(sorted(touching), made.profiles, strict=True)
        ]

    def built(self, turned: frozenset[int]) -> list[Part]:
        """The parts with their slots, when these couplings are turned."""
        number = {group: i for i, group in enumerate(sorted(set(self.groups)))}
        shapes = self.profiles(turned)
        return [
            replace(part, profile=shapes[number[group]])
            for group, part in zip(self.groups, self.parts, strict=True)
        ]

    def own(self, mover: int, inside: set[int]) -> list[Own]:
        """Laps of a part with others of a set."""
        found = []
        for number, coupling in enumerate(self.couplings):
            for side, joint, line in zip(
                coupling.opens, coupling.joints, coupling.lines, strict=True
            ):
                a, b = self.joints[joint].a, self.joints[joint].b
                if mover in (a, b) and {a, b} <= inside:
                    other = b if mover == a else a
                    # What leaves along the line must have its slot open at the line's start.
                    open_behind = side == ("start" if mover == a else "end")
                    found.append(Own(number, other, np.array(line), open_behind))
        return found

    def chosen(self, turned: frozenset[int]) -> list[Opens]:
        """Which side each joint's slot opens to: as asked for, or the turned one."""
        sides, untouched = self.sides(turned), self.sides(frozenset())
        opens: list[Opens] = []
        for number, joint in enumerate(self.joints):
            side = sides.get(number)
            if joint.a_opens != "auto" or side is None:
                opens.append(joint.a_opens)
            elif side == untouched[number]:
                opens.append("auto")
            else:
                opens.append(side)
        return opens


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """One choice of sides: couplings turned, the parts, who blocks whom, and what comes of it."""

    turned: frozenset[int]
    parts: list[Part]
    planner: DisassemblyPlanner
    steps: list[Step]
    locked: list[int]


def restated(search: Sided, state: State, turned: frozenset[int]) -> State | None:
    """The state with other couplings turned, not yet taken apart; None if a part would fall apart.

    Parameters
    ----------
    search
        The parts and their couplings.
    state
        What was known before; sheets that stay keep their answers.
    turned
        Numbers of the couplings that are turned now.
    """
    try:
        parts = search.built(turned)
    except AssemblyError:
        return None
    changed = [i for i, p in enumerate(parts) if p.profile is not state.parts[i].profile]
    sheets = inset_sheets([parts[i] for i in changed], GIVE_MM)
    planner = state.planner.reshaped(dict(zip(changed, sheets, strict=True)))
    return State(turned, parts, planner, [], [])
