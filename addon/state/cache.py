"""What was worked out of Blender's data holds until Blender tells of a change to it.

Blender tells of changes to what it evaluates. What is hidden it does not evaluate, so what was
worked out of that lasts for a moment only; and scripts change things before Blender knows, so
whatever decides something asks `forget_all` first.
"""

import math
import time
from collections.abc import Callable
from typing import Any, TypeVar

import bpy
from bpy.app.handlers import persistent

__all__ = ["forget", "forget_all", "kept_of", "kept_until_change", "listen", "stop_listening"]

T = TypeVar("T")
LASTS_S = 0.1
"""So long at most a panel may be behind a change that Blender does not tell of; half of what
people take for at once."""
_DATA = "data"
_kept: dict[tuple[str, int], tuple[float, Any]] = {}
"""What was worked out of scenes and of single data-blocks, and until when it holds."""


def kept_until_change(
    what: str, scene: bpy.types.Scene, work_out: Callable[[], T], told: Callable[[], bool]
) -> T:
    """Return a scene's ``what``, worked out once between two changes: panels ask at every drawing.

    Without a window it is always worked out: nothing is drawn there, and scripts do not wait.

    Parameters
    ----------
    what
        Its name, as no other.
    scene
        Whose it is.
    work_out
        Does it.
    told
        Whether Blender tells of changes to all it depends on.
    """
    return _kept_or_made((what, scene.session_uid), work_out, told) if is_drawn() else work_out()


def is_drawn() -> bool:
    """Whether there is a window, whose panels ask at every drawing."""
    return not bpy.app.background


def kept_of(data: bpy.types.ID, told: bool, work_out: Callable[[], T]) -> T:
    """Return what is worked out of a data-block, kept while it does not change.

    Parameters
    ----------
    data
        What the result is worked out of.
    told
        Whether Blender tells of its changes; else it is kept while one picture is drawn.
    work_out
        Called where nothing kept holds.
    """
    if not told and not is_drawn():
        return work_out()
    return _kept_or_made((_DATA, data.session_uid), work_out, lambda: told)


def _kept_or_made(key: tuple[str, int], work_out: Callable[[], T], told: Callable[[], bool]) -> T:
    until, found = _kept.get(key, (-math.inf, None))
    if time.monotonic() > until:
        found = work_out()
        _kept[key] = (math.inf if told() else time.monotonic() + LASTS_S, found)
    result: T = found
    return result


def forget_all(*_: Any) -> None:
    """Work everything out anew when it is asked for next."""
    _kept.clear()


def forget(data: bpy.types.ID) -> None:
    """Work out anew what is worked out of a data-block."""
    _kept.pop((_DATA, data.session_uid), None)


def _forget_all_but_data() -> None:
    for key, (until, _) in list(_kept.items()):
        if key[0] != _DATA or until < math.inf:
            del _kept[key]


@persistent
def _moved_on(*_: Any) -> None:
    """Another frame is shown, of which Blender tells nothing else."""
    _forget_all_but_data()


@persistent
def _changed(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    _forget_all_but_data()
    for update in depsgraph.updates:
        data = update.id.original
        if not update.is_updated_geometry and not isinstance(data, bpy.types.Image):
            continue
        if isinstance(data, bpy.types.Key):
            data = data.user
        for one in (data, getattr(data, "data", None)):
            if isinstance(one, bpy.types.ID):
                forget(one)


_forget = persistent(lambda *_: forget_all())


def _handlers() -> tuple[tuple[Any, Any], ...]:
    told = bpy.app.handlers
    return (
        (told.depsgraph_update_post, _changed),
        (told.frame_change_post, _moved_on),
        (told.undo_post, _forget),
        (told.redo_post, _forget),
        (told.load_post, _forget),
    )


def listen() -> None:
    """Begin to listen for changes."""
    for handlers, function in _handlers():
        # First of all, so that whatever else listens finds nothing out of date.
        handlers.insert(0, function)


def stop_listening() -> None:
    """Leave nothing behind."""
    for handlers, function in _handlers():
        if function in handlers:
            handlers.remove(function)
    forget_all()
