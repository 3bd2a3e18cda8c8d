"""Butt joints as a kind of joint: boards that end at others, by choice of which goes over."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ...errors import AssemblyError, PartsDoNotMeetError
from ...findings import Finding, Subject
from ...sentences import Sentence
from ..solids import BoundedCache, Part, Plate, near_pairs, part_key
from .butts import ButtJoint, ButtRule, butt_joint
from .joint import Joint
from .kind import Lengths, Profiles, World
from .workpieces import Workpieces

__all__ = ["ButtKind", "Butted"]

IN_EDGE = {"screw": 0.5, "dowel": 0.6}
"""A screw or a dowel thicker than this share of the board splits its edge: common practice, no
source."""
_SPLITS = (
    "A {what} of {size_mm:g} mm splits the edge of {second}, which is {thickness_mm:g} mm thick. "
    "Take a thinner one, or captive nuts."
)
HELD = {
    "screw": "{count} screws of {size}",
    "nut": "{count} screws M{size} × {long} with nuts",
    "dowel": "{count} dowels of {size}",
}
_known: BoundedCache[ButtJoint] = BoundedCache(4096)


@dataclass(frozen=True, slots=True)
class Butted:
    """One butt joint: the board that goes over, the one that ends at its face."""

    a: int
    b: int
    butt_joint: ButtJoint
    rule: ButtRule
    thickness_mm: float

    @property
    def line(self) -> tuple[World, World]:
        """The edge."""
        return self.butt_joint.line

    @property
    def loses(self) -> tuple[Profiles, Profiles]:
        """What is drawn past the corner, holes and pockets."""
        return self.butt_joint.cuts_over, self.butt_joint.cuts_under

    @property
    def gains(self) -> tuple[Profiles, Profiles]:
        """What boards drawn too short are lengthened by."""
        return self.butt_joint.gains_over, self.butt_joint.gains_under

    @property
    def holds(self) -> tuple[Profiles, Profiles]:
        """Nothing but the faces, which are whole."""
        return (), ()

    def figures(self, length: Lengths) -> tuple[Sentence, ...]:
        """Which fasteners, how many, and how long screws are."""
        told = [Sentence("goes over the whole end")]
        found = self.butt_joint
        values = {
            "count": found.count,
            "size": f"{self.rule.size_mm:g}",
            "long": length(found.screw_mm),
        }
        if found.count:
            told.append(Sentence(HELD[self.rule.fastener], values))
        return tuple(told)

    def findings(self, first: str, second: str) -> tuple[Finding, ...]:
        """A screw or a dowel that would split the edge it is driven into."""
        most = IN_EDGE.get(self.rule.fastener)
        if most is None or self.rule.size_mm <= most * self.thickness_mm:
            return ()
        values = {
            "what": self.rule.fastener,
            "size_mm": self.rule.size_mm,
            "second": second,
            "thickness_mm": self.thickness_mm,
        }
        middle = 0.5 * (np.array(self.line[0]) + np.array(self.line[1]))
        subject = Subject("parts", (self.a, self.b), (first, second))
        place = tuple(middle.tolist())
        return (Finding("caution", "splits", _SPLITS, values, place, subject=subject),)


class ButtKind:
    """Butt joints."""

    name = "butt"
    title = "butt joint"

    def slotted(self, joint: Joint) -> int:
        """The board with the pockets."""
        return joint.b

    def pairs(self, parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
        """Parts of which the second ends at the first one's face."""
        plates = [Plate.of(part) for part in parts]
        reach = max((plate.thickness_mm for plate in plates), default=0.0)
        found = []
        for i, j in near_pairs(plates, reach):
            for a, b in ((i, j), (j, i)):
                try:
                    butt_joint(parts[a], parts[b])
                except AssemblyError:
                    continue
                found.append((a, b))
                break
        return tuple(found)

    def make(self, work: Workpieces, numbers: Sequence[int]) -> Mapping[int, Sequence[Butted]]:
        """Make each joint by itself."""
        made: dict[int, tuple[Butted, ...]] = {}
        for number in numbers:
            joint = work.joints[number]
            rule = joint.own if isinstance(joint.own, ButtRule) else ButtRule()
            a, b = work.parts[joint.a], work.parts[joint.b]
            key = (part_key(a), part_key(b), joint.clearance_mm, rule)
            try:
                found = _known.get(
                    key,
                    (a.profile, b.profile),
                    lambda a=a, b=b, gap=joint.clearance_mm, rule=rule: butt_joint(  # type: ignore[misc]
                        a, b, gap, rule=rule
                    ),
                )
            except PartsDoNotMeetError:
                continue
            thickness = b.stock.thickness_mm
            made[number] = (Butted(joint.a, joint.b, found, rule, thickness),)
        return made
