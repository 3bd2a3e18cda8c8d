"""Finger joints as a kind of joint: boards that meet at an edge, dealt out in turns."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ...errors import AssemblyError, PartsDoNotMeetError
from ...findings import Finding
from ...sentences import Sentence
from ..solids import BoundedCache, Part, Plate, near_pairs, part_key
from .fingers import FingerJoint, finger_joint
from .joint import Joint
from .kind import Lengths, Profiles, World
from .workpieces import Workpieces

__all__ = ["FingerKind", "Fingered"]

_known: BoundedCache[FingerJoint] = BoundedCache(4096)
TOLD_MM = 0.01
"""Smaller sizes are not worth telling: no saw or beam keeps to them."""


@dataclass(frozen=True, slots=True)
class Fingered:
    """One edge with fingers, and the indices of its two boards."""

    a: int
    b: int
    finger_joint: FingerJoint

    @property
    def line(self) -> tuple[World, World]:
        """The common edge."""
        return self.finger_joint.line

    @property
    def loses(self) -> tuple[Profiles, Profiles]:
        """Gaps for the other one's fingers."""
        return self.finger_joint.cuts_a, self.finger_joint.cuts_b

    @property
    def gains(self) -> tuple[Profiles, Profiles]:
        """Fingers of boards drawn to inside size."""
        return self.finger_joint.gains_a, self.finger_joint.gains_b

    @property
    def holds(self) -> tuple[Profiles, Profiles]:
        """Fingers."""
        return self.finger_joint.fingers_a, self.finger_joint.fingers_b

    def figures(self, length: Lengths) -> tuple[Sentence, ...]:
        """Number and width of the fingers, and what stays open or stands out."""
        found = self.finger_joint
        told = [Sentence("goes over the whole end")]
        if found.count > 1:
            sizes = {"count": found.count, "width": length(found.width_mm)}
            told = [Sentence("{count} fingers of {width}", sizes)]
        for template, mm in (
            ("askew, ends stay {size} behind", found.gap_mm),
            ("stands out {size}", found.stands_out_mm),
        ):
            if mm > TOLD_MM:
                told.append(Sentence(template, {"size": length(mm)}))
        return tuple(told)

    def findings(self, first: str, second: str) -> tuple[Finding, ...]:
        """Nothing: whatever is made holds."""
        return ()


class FingerKind:
    """Finger joints, and with one finger butt joints."""

    name = "finger"
    title = "finger joint"

    def slotted(self, joint: Joint) -> int:
        """Both are; the fit is that of the first."""
        return joint.a

    def pairs(self, parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
        """Parts that both end at each other."""
        plates = [Plate.of(part) for part in parts]
        reach = max((plate.thickness_mm for plate in plates), default=0.0)
        found = []
        for i, j in near_pairs(plates, reach):
            try:
                finger_joint(parts[i], parts[j])
            except AssemblyError:
                continue
            found.append((i, j))
        return tuple(found)

    def make(self, work: Workpieces, numbers: Sequence[int]) -> Mapping[int, Sequence[Fingered]]:
        """Make each joint by itself."""
        made: dict[int, tuple[Fingered, ...]] = {}
        for number in numbers:
            joint = work.joints[number]
            a, b = work.parts[joint.a], work.parts[joint.b]
            key = (part_key(a), part_key(b), joint.clearance_mm, joint.fingers)
            try:
                found = _known.get(
                    key,
                    (a.profile, b.profile),
                    lambda a=a, b=b, joint=joint: finger_joint(  # type: ignore[misc]
                        a, b, joint.clearance_mm, rule=joint.fingers
                    ),
                )
            except PartsDoNotMeetError:
                continue
            made[number] = (Fingered(joint.a, joint.b, found),)
        return made
