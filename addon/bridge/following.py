"""Parts follow what they are made of: outlines, stock, poses, joints and the fixture.

Blender tells after every change what it touched. If that is something parts are made of, they are
rebuilt as soon as it has been quiet for a moment; where that takes long, they are only marked.
"""

import hashlib
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import bpy
from bpy.app.handlers import persistent

from ...geometry.errors import FlatwrightError
from .curves import points_of
from .fixtures import fixture_objects
from .parts import part_objects, rebuild_parts

__all__ = ["catch_up", "follow", "is_paused", "paused", "rebuild_quietly", "stop_following"]

QUIET_S = 0.05
HEAVY_S = 0.4
"""Scenes that take longer to rebuild wait for a button, so that dragging stays smooth."""

_built: dict[str, str] = {}
"""For each scene what its parts were last built from."""
_seconds: dict[str, float] = {}
_busy = False


@contextmanager
def paused() -> Iterator[None]:
    """Let settings be written without a rebuild after each."""
    global _busy
    before, _busy = _busy, True
    try:
        yield
    finally:
        _busy = before


def is_paused() -> bool:
    """Whether settings are being written by a tool rather than by a person."""
    return _busy


def rebuild_quietly(context: bpy.types.Context) -> bool:
    """Rebuild all parts; on trouble keep them as they are and say why in the panel."""
    if _busy or any(o.mode == "EDIT" for o in part_objects(context)):
        return False
    settings = context.scene.flatwright_assembly
    start = time.perf_counter()
    with paused():
        try:
            rebuild_parts(context)
            trouble = ""
        except FlatwrightError as error:
            trouble = str(error)
    name = context.scene.name
    _built[name] = _inputs(context)
    _seconds[name] = time.perf_counter() - start
    # A property written anew is a change that Blender tells about.
    if settings.trouble != trouble:
        settings.trouble = trouble
    if settings.is_stale:
        settings.is_stale = False
    return not trouble


def catch_up() -> None:
    """Rebuild if anything that parts are made of is not as it was when they were built."""
    context = bpy.context
    scene = context.scene
    if scene is None or not part_objects(context) or _inputs(context) == _built.get(scene.name):
        return
    settings = scene.flatwright_assembly
    if settings.follows and _seconds.get(scene.name, 0.0) < HEAVY_S:
        rebuild_quietly(context)
    elif not settings.is_stale:
        settings.is_stale = True


@persistent
def _touched(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    if _busy or bpy.app.timers.is_registered(catch_up):
        return
    if any(_matters(scene, update) for update in depsgraph.updates):
        bpy.app.timers.register(catch_up, first_interval=QUIET_S)


@persistent
def _forget(*_: Any) -> None:
    """After undo, or in another file, what was built before says nothing."""
    _built.clear()
    _seconds.clear()
    if not bpy.app.timers.is_registered(catch_up):
        bpy.app.timers.register(catch_up, first_interval=QUIET_S)


def _matters(scene: bpy.types.Scene, update: bpy.types.DepsgraphUpdate) -> bool:
    thing = update.id.original
    if not isinstance(thing, bpy.types.Object):
        return False
    if not (update.is_updated_transform or update.is_updated_geometry):
        return False
    return bool(
        thing.flatwright_part.is_part
        or thing.flatwright_outline.is_outline
        or thing == scene.flatwright_assembly.fixture
        or any(thing == more.thing for more in scene.flatwright_assembly.more_fixtures)
    )


def _inputs(context: bpy.types.Context) -> str:
    """Everything parts are made of, shortened to compare."""
    told = hashlib.sha256()
    scene = context.scene
    for stock in scene.flatwright_stocks:
        allowed = f"{stock.press_mm} {stock.sliding_mm} {stock.loose_mm}"
        told.update(f"{stock.name} {stock.thickness_mm} {allowed}\n".encode())
    outlines = {}
    for thing in part_objects(context):
        part = thing.flatwright_part
        told.update(f"{thing.name} {thing.data.name} {part.stock}\n".encode())
        told.update(repr([tuple(row) for row in thing.matrix_world]).encode())
        if part.outline is not None:
            outlines[part.outline.name] = part.outline.data
    for data in outlines.values():
        told.update(points_of(data).tobytes())
    for fixture, _ in fixture_objects(context):
        told.update(fixture.name.encode())
        told.update(repr([tuple(row) for row in fixture.matrix_world]).encode())
    return told.hexdigest()


def follow() -> None:
    """Begin to listen for changes."""
    bpy.app.handlers.depsgraph_update_post.append(_touched)
    bpy.app.handlers.undo_post.append(_forget)
    bpy.app.handlers.redo_post.append(_forget)
    bpy.app.handlers.load_post.append(_forget)


def stop_following() -> None:
    """Leave nothing behind that listens."""
    for handlers, function in (
        (bpy.app.handlers.depsgraph_update_post, _touched),
        (bpy.app.handlers.undo_post, _forget),
        (bpy.app.handlers.redo_post, _forget),
        (bpy.app.handlers.load_post, _forget),
    ):
        if function in handlers:
            handlers.remove(function)
    if bpy.app.timers.is_registered(catch_up):
        bpy.app.timers.unregister(catch_up)
    _built.clear()
    _seconds.clear()
