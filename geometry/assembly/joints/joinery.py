"""Join many parts at once, and cut shapes that several parts share.

Parts that repeat around an axis are cut from one shape. Every copy's joints must be in that shape,
and the same slot found from six copies must be cut once.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from shapely import Polygon

from ...errors import AssemblyError, PartsDoNotMeetError
from ...outline.curves import Profile
from ..solids import Part, Plate, cross_parts, near_pairs
from .bundles import bundled_laps
from .crosslap import CrossLap
from .cuts import apply_cuts, apply_tabs
from .joint import Joint, JointKind, laps_of, tabs_of
from .tabslot import TabSlot, tab_slot
from .ties import tied_laps

__all__ = [
    "Joinery",
    "JointKind",
    "Lap",
    "Tabbed",
    "join_parts",
    "laps_of",
    "meeting_pairs",
    "tabbed_pairs",
]

SAME_CUT_MM2 = 0.05
"""Two cuts that differ by less than this are one and the same slot."""


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
    pairs = []
    for i, j in near_pairs([Plate.of(part) for part in parts]):
        meet = cross_parts(parts[i], parts[j])
        if meet is not None and meet.shared:
            pairs.append((i, j))
    return tuple(pairs)


def tabbed_pairs(parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
    """Index pairs of parts of which the first ends at the second's face."""
    sheets = [Plate.of(part) for part in parts]
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
        If a slot would cut a part apart, sheets that cross along one line cannot share it, or a
        joint's numbers make no joint.
    """
    groups = range(len(parts)) if groups is None else groups
    laps: list[Lap] = []
    tabbed: list[Tabbed] = []
    asleep: list[int] = []
    gains = {group: _Cuts() for group in groups}
    losses = {group: _Cuts() for group in groups}
    crossing: dict[int, tuple[CrossLap, ...]] = {}
    for number, joint in enumerate(joints):
        try:
            if joint.kind == "lap":
                crossing[number] = laps_of(parts, joint)
                continue
            found = tabs_of(parts, joint)
        except PartsDoNotMeetError:
            asleep.append(number)
            continue
        tabbed.append(Tabbed(joint.a, joint.b, found))
        losses[groups[joint.a]].add(found.shoulders)
        gains[groups[joint.a]].add(found.tabs)
        losses[groups[joint.b]].add(found.slots)
    if len(set(groups)) < len(parts):
        crossing |= _agreed(parts, joints, groups, crossing)
    # Where several sheets cross along one line, their slots have to do with each other.
    crossing |= bundled_laps(parts, joints, groups, crossing)
    for number, cross_laps in crossing.items():
        joint = joints[number]
        for lap in cross_laps:
            laps.append(Lap(joint.a, joint.b, lap))
            losses[groups[joint.a]].add([lap.cut_a])
            losses[groups[joint.b]].add([lap.cut_b])
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


def _agreed(
    parts: Sequence[Part],
    joints: Sequence[Joint],
    groups: Sequence[int],
    crossing: Mapping[int, tuple[CrossLap, ...]],
) -> dict[int, tuple[CrossLap, ...]]:
    """Laps of copies whose shortest sides contradict each other, opened as the first one's."""
    agreed = {}
    for tie in tied_laps(parts, joints, groups):
        for number, side in tie.sides(turned=False).items():
            if tie.is_free and side != crossing[number][0].a_opens:
                agreed[number] = laps_of(parts, replace(joints[number], a_opens=side))
    return agreed
