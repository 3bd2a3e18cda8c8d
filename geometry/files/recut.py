"""Whether a part that was cut is still as it is drawn, and if not, why."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any, Literal

import shapely

from ..errors import FileError
from ..outline import Profile
from ..outline.curves import profile_from_record, profile_to_record
from ..records import from_record
from ..tolerance import GRAIN_MM, STORED_SIZE_MM

__all__ = ["CutState", "Reason", "why_cut_again"]

Reason = Literal["thickness", "outline", "slots", "stock", "marks"]


@dataclass(frozen=True, slots=True)
class CutState:
    """A part as it was saved or cut.

    ``profile`` is its finished shape; ``stock`` and ``thickness_mm`` what it was cut from;
    ``outline`` and ``marks`` are digests of the outline it is made of and of what is marked on it.
    """

    profile: Profile
    stock: str
    thickness_mm: float
    outline: str
    marks: str

    def to_record(self) -> str:
        """As text, to be kept with the part."""
        told = [self.stock, self.thickness_mm, self.outline, self.marks]
        return json.dumps([profile_to_record(self.profile), *told])

    @classmethod
    def from_record(cls, record: str) -> CutState:
        """The state that `to_record` made a record of.

        Raises
        ------
        FileError
            If the text is no such record.
        """
        damaged = FileError("What is kept of a cut part is damaged. Mark it as cut again.")

        def build(told: list[Any]) -> CutState:
            profile, stock, thickness_mm, outline, marks = told
            if not all(isinstance(text, str) for text in (profile, stock, outline, marks)):
                raise ValueError
            return cls(profile_from_record(profile), stock, float(thickness_mm), outline, marks)

        return from_record(record, build, damaged)


def why_cut_again(cut: CutState, now: CutState) -> tuple[Reason, ...]:
    """Why a part must be cut again, the causes first; nothing where what was cut is still right.

    Parameters
    ----------
    cut
        What lies on the bench.
    now
        What its file would hold now.
    """
    reasons: list[Reason] = []
    if cut.stock != now.stock:
        reasons.append("stock")
    is_same = _is_same(cut.profile, now.profile)
    if not is_same:
        if abs(cut.thickness_mm - now.thickness_mm) > STORED_SIZE_MM:
            reasons.append("thickness")
        if cut.outline != now.outline:
            reasons.append("outline")
        # With neither it is what joints and the fixture take.
        if not {"thickness", "outline"} & set(reasons):
            reasons.append("slots")
    if cut.marks != now.marks:
        reasons.append("marks")
    return tuple(reasons)


def _is_same(one: Profile, two: Profile) -> bool:
    """Whether two profiles, in the same axes, differ by less than is seen on a cut edge."""
    if one == two:
        return True
    if len(one.loops) != len(two.loops):
        return False
    a, b = (profile.polygon(0.1 * GRAIN_MM).boundary for profile in (one, two))
    return float(shapely.hausdorff_distance(a, b)) <= GRAIN_MM
