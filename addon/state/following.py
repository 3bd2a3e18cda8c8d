"""Parts follow what they are made of: outlines, stock, poses, joints and the fixture.

Blender tells after every change what it touched. If that is something parts are made of, they are
rebuilt as soon as it has been quiet for a moment; where that takes long, beside the window. How
parts are built is known to a later room, which says so when it begins to `follow`.
"""

import hashlib
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import bpy
from bpy.app.handlers import persistent

from ...geometry.errors import FlatwrightError
from ..blender.curves import points_of
from .changes import listen, stop_listening
from .things import fixture_objects, part_objects

__all__ = [
    "Building",
    "catch_up",
    "follow",
    "is_paused",
    "paused",
    "rebuild_quietly",
    "stop_following",
]

QUIET_S = 0.05
HEAVY_S = 0.06
"""What takes longer is computed on a thread of its own, so that dragging stays smooth."""


@dataclass(frozen=True, slots=True)
class Building:
    """How parts are built: reading what they are made of, in Blender; showing what was computed.

    What ``plan`` returns computes without Blender.
    """

    plan: Callable[[bpy.types.Context], Callable[[], Any]]
    show: Callable[[bpy.types.Context, Any], int]


_building: Building | None = None
_built: dict[str, str] = {}
"""For each scene what its parts were last built from."""
_seconds: dict[str, float] = {}
"""For each scene how long its parts took the last time."""
_busy = False


class _Beside:
    """The parts of one scene, computed beside the window."""

    def __init__(self, scene: str, inputs: str, compute: Callable[[], Any]) -> None:
        self.scene, self.inputs = scene, inputs
        self.joinery: Any = None
        self.trouble = ""
        self._compute = compute
        self.seconds = 0.0
        self.thread = threading.Thread(target=self._run, daemon=True)
        self.thread.start()

    def _run(self) -> None:
        start = time.perf_counter()
        try:
            self.joinery = self._compute()
        except FlatwrightError as error:
            self.trouble = str(error)
        self.seconds = time.perf_counter() - start


_beside: _Beside | None = None


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
    """Rebuild all parts, a heavy scene's a moment later.

    On trouble they are kept as they are, and the panel says why.
    """
    if _busy or any(o.mode == "EDIT" for o in part_objects(context)):
        return False
    settings = context.scene.flatwright_assembly
    if not (_is_light(context.scene) or bpy.app.background):
        _built.pop(context.scene.name, None)
        _soon()
        return True
    start = time.perf_counter()
    with paused():
        try:
            _rebuild(context)
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


def _how() -> Building:
    """What the room that builds parts has said."""
    assert _building is not None, "parts follow from registering on"
    return _building


def _rebuild(context: bpy.types.Context) -> None:
    if part_objects(context):
        _how().show(context, _how().plan(context)())


def _is_light(scene: bpy.types.Scene) -> bool:
    """Whether rebuilding is known to be quick; without a window it is taken to be."""
    return _seconds.get(scene.name, 0.0 if bpy.app.background else HEAVY_S) < HEAVY_S


def catch_up() -> None:
    """Rebuild if anything that parts are made of is not as it was when they were built."""
    context = bpy.context
    scene = context.scene
    if scene is None or not part_objects(context) or _inputs(context) == _built.get(scene.name):
        return
    settings = scene.flatwright_assembly
    if not settings.follows:
        if not settings.is_stale:
            settings.is_stale = True
    elif _is_light(scene):
        rebuild_quietly(context)
    elif _beside is None and not any(o.mode == "EDIT" for o in part_objects(context)):
        _compute_beside(context)


def _compute_beside(context: bpy.types.Context) -> None:
    """Start computing on a thread, and say so in the panel."""
    global _beside
    settings = context.scene.flatwright_assembly
    try:
        _beside = _Beside(context.scene.name, _inputs(context), _how().plan(context))
    except FlatwrightError as error:
        settings.trouble = str(error)
        return
    settings.is_computing = True
    bpy.app.timers.register(_collect, first_interval=QUIET_S)


def _collect() -> float | None:
    """Show what was computed, if the scene is still as it was; else begin again."""
    global _beside
    job = _beside
    if job is None:
        return None
    if job.thread.is_alive():
        return QUIET_S
    _beside = None
    scene: bpy.types.Scene | None = bpy.data.scenes.get(job.scene)
    if scene is None:
        return None
    settings = scene.flatwright_assembly
    settings.is_computing = False
    context = bpy.context
    if context.scene == scene and _inputs(context) == job.inputs:
        with paused():
            if job.joinery is not None:
                _how().show(context, job.joinery)
        _built[scene.name], _seconds[scene.name] = job.inputs, job.seconds
        settings.trouble, settings.is_stale = job.trouble, False
    else:
        catch_up()
    return None


@persistent
def _touched(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    if _busy or bpy.app.timers.is_registered(catch_up):
        return
    if any(_matters(scene, update) for update in depsgraph.updates):
        _soon()


def _soon() -> None:
    if not bpy.app.timers.is_registered(catch_up):
        bpy.app.timers.register(catch_up, first_interval=QUIET_S)


@persistent
def _forget(*_: Any) -> None:
    """After undo what was built before says nothing."""
    global _beside
    _built.clear()
    _beside = None
    _soon()


@persistent
def _open_file(*_: Any) -> None:
    """In another file neither does how long it took."""
    _seconds.clear()
    _forget()


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


def follow(building: Building) -> None:
    """Begin to listen for changes, and build parts so after them."""
    global _building
    _building = building
    listen()
    bpy.app.handlers.depsgraph_update_post.append(_touched)
    bpy.app.handlers.undo_post.append(_forget)
    bpy.app.handlers.redo_post.append(_forget)
    bpy.app.handlers.load_post.append(_open_file)


def stop_following() -> None:
    """Leave nothing behind that listens."""
    stop_listening()
    for handlers, function in (
        (bpy.app.handlers.depsgraph_update_post, _touched),
        (bpy.app.handlers.undo_post, _forget),
        (bpy.app.handlers.redo_post, _forget),
        (bpy.app.handlers.load_post, _open_file),
    ):
        if function in handlers:
            handlers.remove(function)
    for timer in (catch_up, _collect):
        if bpy.app.timers.is_registered(timer):
            bpy.app.timers.unregister(timer)
    _built.clear()
    _seconds.clear()
