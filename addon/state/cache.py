"""What was worked out of Blender's data holds until Blender tells of a change to it.

Blender tells of changes to what it evaluates. What is hidden it does not evaluate, so what was
worked out of that holds only until the next time Blender tells of anything at all; and scripts
change things before Blender knows, so whatever decides something asks `forget_all` first.
"""

from collections.abc import Callable
from typing import Any, TypeVar

import bpy
from bpy.app.handlers import persistent

__all__ = ["forget_all", "kept_of", "kept_until_change", "listen", "stop_listening"]

T = TypeVar("T")
_kept: dict[tuple[str, int], Any] = {}
"""What was worked out of whole scenes, until the next change."""
_of: dict[int, tuple[bool, Any]] = {}
"""What was worked out of single data-blocks, and whether Blender tells of changes to them."""


def kept_until_change(what: str, scene: bpy.types.Scene, work_out: Callable[[], T]) -> T:
    """Return a scene's ``what``, worked out once between two changes: panels ask at every drawing.

    Without a window it is always worked out: nothing is drawn there, and scripts do not wait.
    """
    if bpy.app.background:
        return work_out()
    key = (what, scene.session_uid)
    if key not in _kept:
        _kept[key] = work_out()
    found: T = _kept[key]
    return found


def kept_of(data: bpy.types.ID, told: bool, work_out: Callable[[], T]) -> T:
    """Return what is worked out of a data-block; ``told``: whether Blender tells of its changes."""
    kept = _of.get(data.session_uid)
    if kept is None:
        kept = _of[data.session_uid] = (told, work_out())
    found: T = kept[1]
    return found


def forget_all(*_: Any) -> None:
    """Work everything out anew when it is asked for next."""
    _kept.clear()
    _of.clear()


@persistent
def _changed(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    _kept.clear()
    for uid in [uid for uid, (told, _) in _of.items() if not told]:
        del _of[uid]
    for update in depsgraph.updates:
        if not update.is_updated_geometry:
            continue
        data = update.id.original
        if isinstance(data, bpy.types.Key):
            data = data.user
        for one in (data, getattr(data, "data", None)):
            if isinstance(one, bpy.types.ID):
                _of.pop(one.session_uid, None)


_forget = persistent(lambda *_: forget_all())


def _handlers() -> tuple[tuple[Any, Any], ...]:
    told = bpy.app.handlers
    return (
        (told.depsgraph_update_post, _changed),
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
