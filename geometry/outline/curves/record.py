"""A profile as text, to keep exact numbers beside a picture of them."""

import json
from collections.abc import Iterable
from typing import Any

from ...errors import OutlineError
from ...records import from_record
from .profile import Loop, Profile
from .segments import Arc, Cubic, Line, Segment

__all__ = [
    "profile_from_record",
    "profile_to_record",
    "segments_from_numbers",
    "segments_to_numbers",
]

LARGEST = 1e9
"""A thousand kilometres, in mm."""


def profile_to_record(profile: Profile) -> str:
    """Return JSON that gives back the same profile to the last bit."""
    return json.dumps([[_numbers(s) for s in loop.segments] for loop in profile.loops])


def profile_from_record(record: str) -> Profile:
    """The profile that `profile_to_record` made a record of.

    Raises
    ------
    OutlineError
        If the text is no such record.
    """
    damaged = OutlineError(
        "The outline stored with this object is damaged. Trace or draw it again."
    )
    return from_record(record, _profile, damaged)


def segments_to_numbers(segments: Iterable[Segment]) -> list[list[Any]]:
    """Return what JSON can hold of a chain, to the last bit."""
    return [_numbers(segment) for segment in segments]


def segments_from_numbers(data: Iterable[list[Any]]) -> tuple[Segment, ...]:
    """Return the chain that `segments_to_numbers` wrote; ValueError and its like if it is none."""
    return tuple(_segment(numbers) for numbers in data)


def _profile(data: list[list[list[Any]]]) -> Profile:
    loops = [Loop(tuple(_segment(n) for n in loop)) for loop in data]
    return Profile(loops[0], tuple(loops[1:]))


def _numbers(segment: Segment) -> list[Any]:
    if isinstance(segment, Line):
        return ["line", *segment.start, *segment.end]
    if isinstance(segment, Arc):
        return ["arc", *segment.center, segment.radius_mm, segment.start_rad, segment.sweep_rad]
    if isinstance(segment, Cubic):
        ends = (segment.start, segment.control1, segment.control2, segment.end)
        return ["cubic", *(c for place in ends for c in place)]
    raise TypeError(f"no record for a segment of kind {type(segment).__name__}")


def _length(number: object) -> float:
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise TypeError(f"{number!r} is no number")
    if abs(number) > LARGEST:
        raise ValueError(f"{number} is no length in mm, and no angle")
    return float(number)


def _segment(numbers: list[Any]) -> Segment:
    kind, *rest = numbers
    n = [_length(number) for number in rest]
    if kind == "line":
        return Line((n[0], n[1]), (n[2], n[3]))
    if kind == "arc":
        return Arc((n[0], n[1]), n[2], n[3], n[4])
    if kind == "cubic":
        return Cubic((n[0], n[1]), (n[2], n[3]), (n[4], n[5]), (n[6], n[7]))
    raise KeyError(kind)
