"""One joint of two parts, as it is asked for, and what it makes of them."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from ..solids import Memo, Part, part_key
from .crosslap import CrossLap, Opens, cross_laps
from .tabslot import TabRule, TabSlot, tab_slot

__all__ = ["Joint", "JointKind", "laps_of", "tabs_of"]

JointKind = Literal["lap", "tab"]
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


def laps_of(parts: Sequence[Part], joint: Joint) -> tuple[CrossLap, ...]:
    """Every cross-lap of one joint, in the order of their line; kept while its parts stay."""
    a, b = parts[joint.a], parts[joint.b]
    settings = (joint.clearance_mm, joint.split, joint.a_opens)
    return _known_laps.get(
        (part_key(a), part_key(b), settings),
        (a.profile, b.profile),
        lambda: cross_laps(a, b, joint.clearance_mm, split=joint.split, a_opens=joint.a_opens),
    )


def tabs_of(parts: Sequence[Part], joint: Joint) -> TabSlot:
    """The tabs and slots of one joint; kept while its parts stay."""
    a, b = parts[joint.a], parts[joint.b]
    return _known_tabs.get(
        (part_key(a), part_key(b), joint.clearance_mm, joint.tabs),
        (a.profile, b.profile),
        lambda: tab_slot(a, b, joint.clearance_mm, rule=joint.tabs),
    )
