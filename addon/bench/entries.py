"""The list of kinds of references in the interface; a new one is a line here.

Files hold the place in this list, so a new one goes to its end.
"""

from .disc import DISC
from .entry import Entry
from .grid import GRID
from .length import LENGTH
from .rectangle import RECTANGLE

__all__ = ["ENTRIES", "entry_named"]

ENTRIES = (GRID, RECTANGLE, LENGTH, DISC)


def entry_named(name: str) -> Entry:
    """Return the entry of a kind."""
    return next(entry for entry in ENTRIES if entry.name == name)
