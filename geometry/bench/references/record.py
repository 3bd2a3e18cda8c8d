"""A marked reference as text, to keep with its photo, in full precision."""

import json
from dataclasses import fields
from typing import Any

from ...errors import BenchError
from ...records import from_record
from .kinds import kind_named
from .marked import Marked

__all__ = ["marked_from_record", "marked_to_record"]

KEYS = {"size_sigma": "doubt"}
"""What records call a value where its name is another."""


def marked_to_record(marked: Marked) -> str:
    """Return JSON that gives back the same reference to the last bit."""
    names = [field.name for field in fields(marked)]
    return json.dumps({KEYS.get(name, name): getattr(marked, name) for name in names})


def marked_from_record(record: str) -> Marked:
    """The reference that `marked_to_record` made a record of.

    Raises
    ------
    BenchError
        If the text is no such record, or of a kind that is not known.
    """
    damaged = BenchError(
        "The marks stored with this photo are damaged. Mark the length or rectangle again."
    )
    marked = from_record(record, _marked, damaged)
    kind = kind_named(marked.kind)
    fewest, most = kind.marks
    sound = fewest <= len(marked.marks_px) <= most and len(marked.size_mm) == kind.sizes
    if not sound or min(marked.size_mm) <= 0.0:
        raise damaged
    return marked


def _marked(data: dict[str, Any]) -> Marked:
    return Marked(
        str(data["kind"]),
        tuple((float(x), float(y)) for x, y in data["marks_px"]),
        tuple(float(side) for side in data["size_mm"]),
        float(data["height_mm"]),
        float(data["doubt"]),
        bool(data["exact"]),
        float(data["marked_px"]),
    )
