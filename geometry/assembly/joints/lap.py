"""The cross-lap as a kind of joint: two sheets slotted half way and pushed into each other."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ...errors import PartsDoNotMeetError
from ...findings import Finding, Subject
from ...sentences import Sentence
from ..solids import Part, Plate, cross_parts, near_pairs
from .coupling import coupled_laps
from .crosslap import CrossLap, Opens, cross_laps
from .joint import Joint
from .kind import Lengths, Profiles, World
from .shared_lines import shared_line_laps
from .sharing import Shared, agreed_places, shared_of
from .whole import LAP, laps_of
from .workpieces import Workpieces

__all__ = ["Lap", "LapKind", "meeting_pairs"]

MOVED_MM = 0.05
"""Slots that would end no farther away if the joint shared what is left stay as they are."""

_LOOSE = (
    "{a} and {b} cross at {angle_deg:.0f}°. Slots cut square to the sheet leave "
    "{slack_mm:.2f} mm of play there; glue or a wedge holds them."
)
_WHOLE = (
    "{a} and {b} are lapped by their whole outlines, as in 0.1.0, although other cuts take a part "
    "of them there: the slots end {missed_mm:.1f} mm off the middle of what is left. Press Share "
    "What Is Left to divide that."
)
_FRAIL = (
    "{a} and {b} share only {shared_mm:.1f} mm along their line, and each keeps a part of that. "
    "Make them reach farther there."
)


def meeting_pairs(parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
    """Index pairs of parts that cross each other along a line."""
    pairs = []
    for i, j in near_pairs([Plate.of(part) for part in parts]):
        meet = cross_parts(parts[i], parts[j])
        if meet is not None and meet.shared:
            pairs.append((i, j))
    return tuple(pairs)


@dataclass(frozen=True, slots=True)
class Lap:
    """One crossing: the indices of its two parts, and what each loses.

    ``missed_mm`` is how far its slots end from where they would if the two shared what is left;
    above 0 only in joints that halve whole outlines.
    """

    a: int
    b: int
    cross_lap: CrossLap
    missed_mm: float = 0.0

    @property
    def line(self) -> tuple[World, World]:
        """The shared interval, from the end where part a's slot opens."""
        start, end = self.cross_lap.line
        return (start, end) if self.cross_lap.a_opens == "start" else (end, start)

    @property
    def loses(self) -> tuple[Profiles, Profiles]:
        """One slot each."""
        return (self.cross_lap.cut_a,), (self.cross_lap.cut_b,)

    @property
    def gains(self) -> tuple[Profiles, Profiles]:
        """Nothing."""
        return (), ()

    @property
    def holds(self) -> tuple[Profiles, Profiles]:
        """What of each lies in the other's slot."""
        return (self.cross_lap.kept_a,), (self.cross_lap.kept_b,)

    def figures(self, length: Lengths) -> tuple[Sentence, ...]:
        """Angle and width of the slots, and what is not as it should be."""
        cross = self.cross_lap
        angle = {"angle_deg": math.degrees(cross.angle_rad)}
        width = {**angle, "width": length(cross.width_a_mm)}
        told = [Sentence("{angle_deg:.0f}°, slots {width}", width)]
        if cross.is_loose:
            told.append(Sentence("askew, plays {play}", {"play": length(cross.slack_mm)}))
        return tuple(told)

    def findings(self, first: str, second: str) -> tuple[Finding, ...]:
        """Play of sheets that cross askew, little wood, and halves of what is cut away."""
        cross = self.cross_lap
        names: dict[str, object] = {"a": first, "b": second}
        subject = Subject("parts", (self.a, self.b), (first, second))
        told: list[tuple[str, str, dict[str, object]]] = []
        if cross.is_loose:
            angle = math.degrees(cross.angle_rad)
            told.append(("loose", _LOOSE, {"angle_deg": angle, "slack_mm": cross.slack_mm}))
        if self.missed_mm > 0.0:
            told.append(("halved whole", _WHOLE, {"missed_mm": self.missed_mm}))
        elif cross.shared_mm < cross.thickness_a_mm + cross.thickness_b_mm:
            # Each keeps about half of it: less than a thickness. Common practice, no source.
            told.append(("frail", _FRAIL, {"shared_mm": cross.shared_mm}))
        place = cross.split_world
        return tuple(
            Finding("caution", rule, template, {**names, **values}, place, subject=subject)
            for rule, template, values in told
        )


class LapKind:
    """Cross-laps; they come after all other kinds and share what those have left."""

    name = LAP
    title = "cross-lap"

    def slotted(self, joint: Joint) -> int:
        """Both are; the fit is that of the first."""
        return joint.a

    def pairs(self, parts: Sequence[Part]) -> tuple[tuple[int, int], ...]:
        """Parts that cross along a line."""
        return meeting_pairs(parts)

    def make(self, work: Workpieces, numbers: Sequence[int]) -> Mapping[int, Sequence[Lap]]:
        """Make the laps; where several sheets cross along one line, all of them together."""
        asked = dict(zip(numbers, (work.joints[n] for n in numbers), strict=True))
        for number, side in self._agreed_sides(work).items():
            if number in asked:
                asked[number] = replace(asked[number], a_opens=side)
        crossing, shared = self._crossing(work, asked)

        def remade(number: int, fraction: float, opens: Opens, free_mm: float) -> CrossLap:
            joint, left = asked[number], shared.get(number)
            if left is not None and opens != "auto":
                low, high = left.meet.shared[0][0], left.meet.shared[-1][1]
                return left.lap(low + fraction * (high - low), opens, free_mm)
            split = fraction if opens == "start" else 1.0 - fraction
            a, b = work.parts[joint.a], work.parts[joint.b]
            laps = cross_laps(
                a, b, joint.clearance_mm, split=split, end_clearance_mm=free_mm, a_opens=opens
            )
            return laps[0]

        on_shared_lines = shared_line_laps(work.parts, work.joints, work.groups, crossing, remade)
        made: dict[int, tuple[Lap, ...]] = {}
        for number, laps in (crossing | on_shared_lines).items():
            joint = asked[number]
            missed = self._missed_mm(work, joint, laps) if number not in on_shared_lines else 0.0
            made[number] = tuple(Lap(joint.a, joint.b, lap, missed) for lap in laps)
        return made

    def _crossing(
        self, work: Workpieces, asked: Mapping[int, Joint]
    ) -> tuple[dict[int, tuple[CrossLap, ...]], dict[int, Shared]]:
        """Every lap as if alone, and how those share that share what is left."""
        crossing: dict[int, tuple[CrossLap, ...]] = {}
        shared: dict[int, Shared] = {}
        for number, joint in asked.items():
            try:
                if joint.shares == "left":
                    shared[number] = shared_of(work, joint)
                    crossing[number] = ()
                else:
                    crossing[number] = laps_of(work.parts, joint)
            except PartsDoNotMeetError:
                continue
        places = agreed_places(work, shared) if work.has_copies else {}
        for number, found in shared.items():
            crossing[number] = found.laps(places.get(number))
        return crossing, shared

    def _agreed_sides(self, work: Workpieces) -> dict[int, Opens]:
        """Laps of copies whose shortest sides contradict each other, opened as the first one's."""
        agreed: dict[int, Opens] = {}
        if work.has_copies:
            for coupling in coupled_laps(work.parts, work.joints, work.groups):
                if coupling.is_free:
                    agreed |= coupling.sides(turned=False)
        return agreed

    def _missed_mm(self, work: Workpieces, joint: Joint, laps: Sequence[CrossLap]) -> float:
        """How far slots of whole outlines end from where they would in what is left."""
        if joint.shares == "left" or (work.left(joint.a) is None and work.left(joint.b) is None):
            return 0.0
        try:
            found = shared_of(work, replace(joint, a_opens=laps[0].a_opens)).laps()
        except PartsDoNotMeetError:
            return 0.0
        off = min(math.dist(lap.split_world, found[0].split_world) for lap in laps)
        return off if off > MOVED_MM else 0.0
