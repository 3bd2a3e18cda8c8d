"""How often Blender has told of a change: what was worked out since holds until the next one."""

from collections.abc import Callable
from typing import Any, TypeVar

import bpy
from bpy.app.handlers import persistent

__all__ = ["kept_until_change", "listen", "stop_listening"]

T = TypeVar("T")
_count = 0
_kept: dict[tuple[str, str], tuple[int, Any]] = {}


def kept_until_change(what: str, scene: bpy.types.Scene, work_out: Callable[[], T]) -> T:
    """Return a scene's ``what``, worked out once between two changes: panels ask at every drawing.

    Scripts change things without Blender telling at once, so without a window it is always
    worked out.
    """
    if bpy.app.background:
        return work_out()
    key = (what, scene.name)
    kept = _kept.get(key)
    if kept is None or kept[0] != _count:
        kept = _kept[key] = (_count, work_out())
    found: T = kept[1]
    return found


@persistent
def _changed(*_: Any) -> None:
    global _count
    _count += 1


def _handlers() -> tuple[Any, ...]:
    told = bpy.app.handlers
    return (told.depsgraph_update_post, told.undo_post, told.redo_post, told.load_post)


def listen() -> None:
    """Begin to count."""
    for handlers in _handlers():
        # First of all, so that whatever else listens finds nothing out of date.
        handlers.insert(0, _changed)


def stop_listening() -> None:
    """Leave nothing behind."""
    for handlers in _handlers():
        if _changed in handlers:
            handlers.remove(_changed)
    _kept.clear()
