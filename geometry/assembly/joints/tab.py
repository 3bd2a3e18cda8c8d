"""Tab and slot as a kind of joint: one sheet ends at another's face and goes into it with tabs."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ...errors import AssemblyError, PartsDoNotMeetError
from ...findings import Finding, Subject
from ...sentences import Sentence
from ..solids import BoundedCache, Part, Plate, near_pairs, part_key
from .joint import Joint
from .kind import Lengths, Profiles, World
from .tabslot import TabSlot, tab_slot
from .workpieces import Workpieces

__all__ = ["TabKind", "Tabbed", "tabbed_pairs"]

TOLD_MM = 0.01
"""Smaller sizes are not worth telling: no saw or beam keeps to them."""
_LOOSE = (
    "{a} meets {b} at {angle_deg:.0f}°. Its tabs play {play_mm:.2f} mm in their slots; choose tabs "
    "that fit or go through, or glue them."
)
_known: BoundedCache[TabSlot] = BoundedCache(4096)


def tabbed_pairs(parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
    """Index pairs of parts of which the first ends at the second's face."""
    plates = [Plate.of(part) for part in parts]
    reach = max((plate.thickness_mm for plate in plates), default=0.0)
    pairs = []
    for i, j in near_pairs(plates, reach):
        for a, b in ((i, j), (j, i)):
            try:
                tab_slot(parts[a], parts[b])
            except AssemblyError:
                continue
            pairs.append((a, b))
            break
    return tuple(pairs)


def _tabs_of(parts: Sequence[Part], joint: Joint) -> TabSlot:
    """The tabs and slots of one joint; kept while its parts stay."""
    a, b = parts[joint.a], parts[joint.b]
    return _known.get(
        (part_key(a), part_key(b), joint.clearance_mm, joint.tabs),
        (a.profile, b.profile),
        lambda: tab_slot(a, b, joint.clearance_mm, rule=joint.tabs),
    )


@dataclass(frozen=True, slots=True)
class Tabbed:
    """One meeting with tabs: the part that carries them, the part that is slotted."""

    a: int
    b: int
    tab_slot: TabSlot

    @property
    def line(self) -> tuple[World, World]:
        """Where the two meet."""
        return self.tab_slot.line

    @property
    def loses(self) -> tuple[Profiles, Profiles]:
        """Shoulders of the one, slots of the other."""
        return self.tab_slot.shoulders, self.tab_slot.slots

    @property
    def gains(self) -> tuple[Profiles, Profiles]:
        """Tabs."""
        return self.tab_slot.tabs, ()

    @property
    def holds(self) -> tuple[Profiles, Profiles]:
        """Tabs are joined to what they stand on or not at all; the other one is stood upon."""
        return (), self.tab_slot.contact

    def figures(self, length: Lengths) -> tuple[Sentence, ...]:
        """Number and width of the tabs, width of the slots, what was made to fit, and play."""
        found = self.tab_slot
        sizes = {
            "count": len(found.slots),
            "width": length(found.tab_width_mm),
            "slot": length(found.slot_width_mm),
        }
        told = [Sentence("{count} tabs of {width}, slots {slot}", sizes)]
        for template, mm in (
            ("edge made {size} longer", found.lengthened_mm),
            ("askew, plays {size}", found.play_mm),
            ("stands out {size}", found.stands_out_mm),
        ):
            if mm > TOLD_MM:
                told.append(Sentence(template, {"size": length(mm)}))
        return tuple(told)

    def findings(self, first: str, second: str) -> tuple[Finding, ...]:
        """Play of tabs that end askew in slots that are too wide for their ends."""
        found = self.tab_slot
        if found.play_mm <= TOLD_MM:
            return ()
        middle = 0.5 * (np.array(found.line[0]) + np.array(found.line[1]))
        values = {
            "a": first,
            "b": second,
            "angle_deg": math.degrees(found.angle_rad),
            "play_mm": found.play_mm,
        }
        subject = Subject("parts", (self.a, self.b), (first, second))
        place = tuple(middle.tolist())
        return (Finding("caution", "loose", _LOOSE, values, place, subject=subject),)


class TabKind:
    """Tabs and slots."""

    name = "tab"
    title = "tab and slot"

    def slotted(self, joint: Joint) -> int:
        """The part at whose face the other one ends."""
        return joint.b

    def pairs(self, parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
        """Parts of which the first ends at the second's face."""
        return tabbed_pairs(parts)

    def make(self, work: Workpieces, numbers: Sequence[int]) -> Mapping[int, Sequence[Tabbed]]:
        """Make each joint by itself."""
        made: dict[int, tuple[Tabbed, ...]] = {}
        for number in numbers:
            joint = work.joints[number]
            try:
                made[number] = (Tabbed(joint.a, joint.b, _tabs_of(work.parts, joint)),)
            except PartsDoNotMeetError:
                continue
        return made
