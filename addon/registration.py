"""Register words, preferences and every room in the order of the job; take back in reverse."""

from . import (
    assembly,
    bench,
    commands,
    files,
    guide,
    outline,
    part,
    photo,
    preferences,
    sheet,
    state,
)
from .guide import tools
from .locale import words

__all__ = ["register", "unregister"]

ROOMS = (
    words,
    preferences,
    state,
    guide,
    photo,
    bench,
    outline,
    part,
    assembly,
    sheet,
    files,
    commands,
    # A tool's keys name what operators were given.
    tools,
)


def register() -> None:
    """Register all rooms, or none of them."""
    done = []
    try:
        for room in ROOMS:
            room.register()
            done.append(room)
    except Exception:
        for room in reversed(done):
            room.unregister()
        raise


def unregister() -> None:
    """Take back everything `register` gave to Blender."""
    for room in reversed(ROOMS):
        room.unregister()
