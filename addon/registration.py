"""Register every room in the order of the job, the command line last; take back in reverse."""

from . import assembly, bench, commands, files, outline, part, photo, sheet

__all__ = ["register", "unregister"]

ROOMS = (photo, bench, outline, part, assembly, sheet, files, commands)


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
