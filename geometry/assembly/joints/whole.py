"""Cross-laps that halve whole outlines, whatever else is cut from them.

This is how laps were made up to 0.1.0, and joints of its files are still made so. It also tells
which laps have a slot in common: that must not change with what else is cut.
"""

from collections.abc import Sequence

from ...errors import PartsDoNotMeetError
from ..solids import BoundedCache, Part, part_key
from .crosslap import CrossLap, cross_laps
from .joint import Joint

__all__ = ["LAP", "laps_of", "whole_laps"]

LAP = "lap"
"""The name of the kind of joint."""
_known: BoundedCache[tuple[CrossLap, ...]] = BoundedCache(4096)


def laps_of(parts: Sequence[Part], joint: Joint) -> tuple[CrossLap, ...]:
    """Every cross-lap of one joint, in the order of their line; kept while its parts stay.

    Raises
    ------
    PartsDoNotMeetError
        If the two parts do not cross.
    """
    a, b = parts[joint.a], parts[joint.b]
    settings = (joint.clearance_mm, joint.split, joint.a_opens)
    return _known.get(
        (part_key(a), part_key(b), settings),
        (a.profile, b.profile),
        lambda: cross_laps(a, b, joint.clearance_mm, split=joint.split, a_opens=joint.a_opens),
    )


def whole_laps(parts: Sequence[Part], joints: Sequence[Joint]) -> dict[int, tuple[CrossLap, ...]]:
    """The laps of all joints of this kind whose parts meet, by the joints' numbers."""
    found: dict[int, tuple[CrossLap, ...]] = {}
    for number, joint in enumerate(joints):
        if joint.kind == LAP:
            try:
                found[number] = laps_of(parts, joint)
            except PartsDoNotMeetError:
                continue
    return found
