"""Join many parts at once, and cut shapes that several parts share.

Parts that repeat around an axis are cut from one shape. Every copy's joints must be in that shape,
and the same slot found from six copies must be cut once.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from shapely import Polygon

from ..arrays import FloatArray
from ..errors import AssemblyError, PartsDoNotMeetError
from ..outline.profile import Profile
from .crosslap import CrossLap, Opens, cross_laps
from .cuts import apply_cuts, apply_tabs
from .meeting import cross_sheets
from .memo import Memo, part_key
from .part import Part
from .solids import Sheet, near_pairs
from .tabslot import TabRule, TabSlot, tab_slot

__all__ = [
    "Joinery",
    "Joint",
    "JointKind",
    "Lap",
    "Tabbed",
    "join_parts",
    "laps_of",
    "meeting_pairs",
    "tabbed_pairs",
]

JointKind = Literal["lap", "tab"]
SAME_CUT_MM2 = 0.05
"""Two cuts that differ by less than this are one and the same slot."""
SAME_LINE_MM = 0.5
"""Laps of one part whose lines are nearer than this run along one line."""
KEPT = 4096
_known_laps: Memo[tuple[CrossLap, ...]] = Memo(KEPT)
_known_tabs: Memo[TabSlot] = Memo(KEPT)


@dataclass(frozen=True, slots=True)
class Joint:
    """Two parts, by their indices, and how they are to be joined.

    In a joint with tabs, ``a`` carries them and ``b`` is slotted. ``clearance_mm`` is what slots
    are wider than what goes into them.
    """

    a: int
    b: int
    kind: JointKind = "lap"
    clearance_mm: float = 0.0
    split: float = 0.5
    a_opens: Opens = "auto"
    tabs: TabRule = field(default_factory=TabRule)


@dataclass(frozen=True, slots=True)
class Lap:
    """One crossing: the indices of its two parts, and what each loses."""

    a: int
    b: int
    cross_lap: CrossLap


@dataclass(frozen=True, slots=True)
class Tabbed:
    """One meeting with tabs: the part that carries them, the part that is slotted."""

    a: int
    b: int
    tab_slot: TabSlot


@dataclass(frozen=True, slots=True)
class Joinery:
    """Every joint made, and the shapes of the parts as they are to be cut, one a group.

    ``cuts`` are the slots and tabs of each group, in its own x, y. ``joints`` are those asked for;
    ``asleep`` holds the numbers of those whose parts do not meet where they now stand.
    """

    joints: tuple[Joint, ...]
    laps: tuple[Lap, ...]
    tabs: tuple[Tabbed, ...]
    profiles: tuple[Profile, ...]
    cuts: tuple[tuple[Profile, ...], ...]
    asleep: tuple[int, ...] = ()


class _Cuts:
    """What a shape loses or gains, each only once, however many copies ask for it."""

    def __init__(self) -> None:
        self.profiles: list[Profile] = []
        self._shapes: list[tuple[Polygon, tuple[float, ...]]] = []

    def add(self, profiles: Iterable[Profile]) -> None:
        for profile in profiles:
            shape = profile.polygon()
            bounds = shape.bounds
            if not any(self._same(shape, bounds, *known) for known in self._shapes):
                self.profiles.append(profile)
                self._shapes.append((shape, bounds))

    @staticmethod
    def _same(
        shape: Polygon, bounds: tuple[float, ...], other: Polygon, others: tuple[float, ...]
    ) -> bool:
        # Most slots of a part lie well apart, as their boxes tell.
        apart = any(bounds[k] > others[k + 2] or others[k] > bounds[k + 2] for k in (0, 1))
        return not apart and shape.symmetric_difference(other).area <= SAME_CUT_MM2


def meeting_pairs(parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
    """Index pairs of parts that cross each other along a line."""
    sheets = [Sheet.of(part) for part in parts]
    pairs = []
    for i, j in near_pairs(sheets):
        meet = cross_sheets(sheets[i], sheets[j])
        if meet is not None and meet.shared:
            pairs.append((i, j))
    return tuple(pairs)


def tabbed_pairs(parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
    """Index pairs of parts of which the first ends at the second's face."""
    sheets = [Sheet.of(part) for part in parts]
    reach = max((sheet.thickness_mm for sheet in sheets), default=0.0)
    pairs = []
    for i, j in near_pairs(sheets, reach):
        for a, b in ((i, j), (j, i)):
            try:
                tab_slot(parts[a], parts[b])
            except AssemblyError:
                continue
            pairs.append((a, b))
            break
    return tuple(pairs)


def join_parts(
    parts: Sequence[Part],
    joints: Sequence[Joint],
    *,
    groups: Sequence[int] | None = None,
    other_cuts: Mapping[int, Sequence[Profile]] | None = None,
) -> Joinery:
    """Join every pair that meets, and cut slots and tabs.

    Parameters
    ----------
    parts
        Whole parts, with no slots cut yet.
    groups
        For each part the number of the shape it is cut from, counting from 0; by default every
        part has its own.
    other_cuts
        What parts, by their indices, lose besides, in their own x, y; such as `fixture_cuts`.

    Raises
    ------
    AssemblyError
        If a slot would cut a part apart, three sheets cross along one line, or a joint's numbers
        make no joint.
    """
    groups = range(len(parts)) if groups is None else groups
    laps: list[Lap] = []
    tabbed: list[Tabbed] = []
    asleep: list[int] = []
    gains = {group: _Cuts() for group in groups}
    losses = {group: _Cuts() for group in groups}
    for number, joint in enumerate(joints):
        a, b = groups[joint.a], groups[joint.b]
        try:
            if joint.kind == "tab":
                found = _tabs(parts, joint)
                tabbed.append(Tabbed(joint.a, joint.b, found))
                losses[a].add(found.shoulders)
                gains[a].add(found.tabs)
                losses[b].add(found.slots)
                continue
            for lap in laps_of(parts, joint):
                laps.append(Lap(joint.a, joint.b, lap))
                losses[a].add([lap.cut_a])
                losses[b].add([lap.cut_b])
        except PartsDoNotMeetError:
            asleep.append(number)
    _refuse_three_along_one_line(parts, laps)
    slots = {group: tuple(cuts.profiles) for group, cuts in losses.items()}
    for index, cuts in (other_cuts or {}).items():
        losses[groups[index]].add(cuts)
    shapes = {group: part for group, part in zip(groups, parts, strict=True)}
    # Tabs last: a shoulder cut for one joint must not take the tabs of another.
    profiles = tuple(
        apply_tabs(apply_cuts(shapes[g], losses[g].profiles), gains[g].profiles).profile
        for g in sorted(shapes)
    )
    # A tab's root has inside corners too, and the other sheet's face must reach into them.
    mating = tuple((*slots[g], *gains[g].profiles) for g in sorted(shapes))
    return Joinery(tuple(joints), tuple(laps), tuple(tabbed), profiles, mating, tuple(asleep))


def laps_of(parts: Sequence[Part], joint: Joint) -> tuple[CrossLap, ...]:
    """Every cross-lap of one joint, in the order of their line; kept while its parts stay."""
    a, b = parts[joint.a], parts[joint.b]
    settings = (joint.clearance_mm, joint.split, joint.a_opens)
    return _known_laps.get(
        (part_key(a), part_key(b), settings),
        (a.profile, b.profile),
        lambda: cross_laps(a, b, joint.clearance_mm, split=joint.split, a_opens=joint.a_opens),
    )


def _tabs(parts: Sequence[Part], joint: Joint) -> TabSlot:
    a, b = parts[joint.a], parts[joint.b]
    return _known_tabs.get(
        (part_key(a), part_key(b), joint.clearance_mm, joint.tabs),
        (a.profile, b.profile),
        lambda: tab_slot(a, b, joint.clearance_mm, rule=joint.tabs),
    )


def _refuse_three_along_one_line(parts: Sequence[Part], laps: Sequence[Lap]) -> None:
    """Two laps of one part on one line would leave nothing between their slots."""
    lines: dict[int, list[tuple[Lap, FloatArray]]] = {}
    for lap in laps:
        line = np.array(lap.cross_lap.line)
        for part in (lap.a, lap.b):
            for other, known in lines.get(part, []):
                if _same_line(line, known) and {lap.a, lap.b} != {other.a, other.b}:
                    names = sorted({lap.a, lap.b, other.a, other.b})
                    listed = ", ".join(f"“{parts[i].name or i + 1}”" for i in names)
                    raise AssemblyError(
                        f"{listed} cross along one and the same line, where only two sheets can "
                        "be halved into each other. Move one of them aside by more than its "
                        "thickness, or remove one of the joints."
                    )
            lines.setdefault(part, []).append((lap, line))


def _same_line(line: FloatArray, other: FloatArray) -> bool:
    """Whether two stretches (2, 3) lie on one line and overlap."""
    along = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    offset = other - line[0]
    away = np.linalg.norm(offset - np.outer(offset @ along, along), axis=1)
    low, high = sorted(offset @ along)
    overlap = min(high, float(np.linalg.norm(line[1] - line[0]))) - max(low, 0.0)
    return bool(away.max() < SAME_LINE_MM and overlap > SAME_LINE_MM)
