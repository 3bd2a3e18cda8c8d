"""One thing to know about a part before it is cut."""

from dataclasses import dataclass
from typing import Literal

from ..arrays import Point

__all__ = ["Finding", "Rule", "Severity"]

Severity = Literal["stop", "caution"]
Rule = Literal[
    "open",
    "crossing",
    "duplicate line",
    "island",
    "short segment",
    "thin web",
    "small hole",
    "lost to the kerf",
    "cutter does not enter",
    "corner not reached",
    "larger than the sheet",
    "duplicate",
    "overlap",
    "small lettering",
    "not rebuilt",
]


@dataclass(frozen=True, slots=True)
class Finding:
    """What is wrong, where (mm), how large, with which profile, and a sentence for people.

    "stop": the part cannot come out as drawn. "caution": it can, but look first.
    """

    rule: Rule
    severity: Severity
    place: Point
    size_mm: float
    sentence: str
    profile_index: int
