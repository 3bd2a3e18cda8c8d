"""A marked reference as text, to keep with its photo, in full precision."""

import json
from dataclasses import fields

from ...errors import BenchError
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
    """Return the reference a record holds.

    Raises
    ------
    BenchError
        If the text is no such record, or of a kind that is not known.
    """
    try:
        data = json.loads(record)
        marked = Marked(
            str(data["kind"]),
            tuple((float(x), float(y)) for x, y in data["marks_px"]),
            tuple(float(side) for side in data["size_mm"]),
            float(data["height_mm"]),
            float(data["doubt"]),
            bool(data["exact"]),
            float(data["marked_px"]),
        )
    except (ValueError, KeyError, TypeError) as error:
        raise BenchError(
            "The marks stored with this photo are damaged. Mark the length or rectangle again."
        ) from error
    kind_named(marked.kind)
    return marked
