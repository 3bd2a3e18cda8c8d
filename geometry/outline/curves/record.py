"""A profile as text, to keep exact numbers beside a picture of them."""

import json
from typing import Any

from ...errors import OutlineError
from .profile import Loop, Profile
from .segments import Arc, Cubic, Line, Segment

__all__ = ["profile_from_record", "profile_to_record"]


def profile_to_record(profile: Profile) -> str:
    """Return JSON that gives back the same profile to the last bit."""
    return json.dumps([[_numbers(s) for s in loop.segments] for loop in profile.loops])


def profile_from_record(record: str) -> Profile:
    """Return the profile a record holds.

    Raises
    ------
    OutlineError
        If the text is no such record.
    """
    try:
        loops = [Loop(tuple(_segment(n) for n in loop)) for loop in json.loads(record)]
        return Profile(loops[0], tuple(loops[1:]))
    except (ValueError, TypeError, IndexError, KeyError) as error:
        raise OutlineError(
            "The outline stored with this object is damaged. Trace or draw it again."
        ) from error


def _numbers(segment: Segment) -> list[Any]:
    if isinstance(segment, Line):
        return ["line", *segment.start, *segment.end]
    if isinstance(segment, Arc):
        return ["arc", *segment.center, segment.radius_mm, segment.start_rad, segment.sweep_rad]
    return [
        "cubic",
        *segment.start,
        *segment.control1,
        *segment.control2,
        *segment.end,
    ]


def _segment(numbers: list[Any]) -> Segment:
    kind, *n = numbers
    if kind == "line":
        return Line((n[0], n[1]), (n[2], n[3]))
    if kind == "arc":
        return Arc((n[0], n[1]), n[2], n[3], n[4])
    if kind == "cubic":
        return Cubic((n[0], n[1]), (n[2], n[3]), (n[4], n[5]), (n[6], n[7]))
    raise KeyError(kind)
