"""Parts follow what they are made of: outlines, stock, poses, joints and the fixture.

Blender tells after every change what it touched. If that is something parts are made of, they are
rebuilt as soon as it has been quiet for a moment; where that takes long, beside the window. How
parts are built is known to a later room, which says so when it begins to `follow`.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import bpy
from bpy.app.handlers import persistent

from ...geometry.errors import FlatwrightError
from ...geometry.sentences import Sentence, sentence_of, sentence_to_record
from .cache import listen, stop_listening
from .graph import made, read_anew, what_changed
from .inputs import now
from .marks import is_kept, snapshot
from .records import refuse_newer
from .runner import Job, run_beside
from .things import is_of_job, part_objects

__all__ = [
    "Building",
    "catch_up",
    "follow",
    "is_paused",
    "keep_trouble",
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

    What ``plan`` returns computes without Blender; ``show`` says what could not be built, or
    nothing.
    """

    plan: Callable[[bpy.types.Context], Callable[[], Any]]
    show: Callable[[bpy.types.Context, Any], Sentence | None]


_building: Building | None = None
_seconds: dict[int, float] = {}
"""For each scene how long its parts took the last time."""
_beside: Job | None = None
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
    """Rebuild all parts, a heavy scene's a moment later.

    What cannot be built is kept as it is, and the panel says why.
    """
    if _busy or not _may_rebuild(context):
        return False
    if not _is_light(context.scene):
        _compute_beside(context)
        return True
    return _rebuild_at_once(context)


def _may_rebuild(context: bpy.types.Context) -> bool:
    """Whether there are parts, none is being edited, and all that is kept of them is understood."""
    things = part_objects(context)
    try:
        refuse_newer(context.scene)
    except FlatwrightError:
        return False
    return bool(things) and not any(o.mode == "EDIT" for o in things)


def _rebuild_at_once(context: bpy.types.Context) -> bool:
    start = time.perf_counter()
    with paused():
        try:
            trouble = _how().show(context, _how().plan(context)())
        except FlatwrightError as error:
            trouble = sentence_of(error)
    _seconds[context.scene.session_uid] = time.perf_counter() - start
    _note(context, trouble)
    return not trouble


def keep_trouble(scene: bpy.types.Scene, trouble: Sentence | None) -> None:
    """Keep with the scene what of its parts could not be built; None for nothing."""
    settings = scene.flatwright_assembly
    words, record = (str(trouble), sentence_to_record(trouble)) if trouble else ("", "")
    # A property written anew is a change that Blender tells about.
    if (settings.trouble, settings.trouble_record) != (words, record):
        settings.trouble, settings.trouble_record = words, record


def _note(context: bpy.types.Context, trouble: Sentence | None) -> None:
    """Keep what the parts were made from and what could not be made."""
    keep_trouble(context.scene, trouble)
    # What was just written here Blender may not have told of yet.
    read_anew(context)
    if what_changed(context, "parts") or not is_kept(context.scene, "parts"):
        made(context, "parts")


def _how() -> Building:
    """What the room that builds parts has said."""
    assert _building is not None, "parts follow from registering on"
    return _building


def _is_light(scene: bpy.types.Scene) -> bool:
    """Whether rebuilding is known to be quick; without a window nobody waits for it."""
    return bpy.app.background or _seconds.get(scene.session_uid, HEAVY_S) < HEAVY_S


def _is_behind(context: bpy.types.Context) -> bool:
    return not is_kept(context.scene, "parts") or bool(what_changed(context, "parts"))


def catch_up() -> None:
    """Rebuild if anything that parts are made of is not as it was when they were built."""
    _catch_up(bpy.context, waits=False)


def _catch_up(context: bpy.types.Context, *, waits: bool) -> None:
    """Rebuild what is behind; at once where somebody waits for it."""
    if context.scene is None or _busy or not context.scene.flatwright_assembly.follows:
        return
    if not _may_rebuild(context) or not _is_behind(context):
        return
    if waits or _is_light(context.scene):
        _rebuild_at_once(context)
    else:
        _compute_beside(context)


def _compute_beside(context: bpy.types.Context) -> None:
    """Start computing on a thread, and say so in the panel."""
    global _beside
    if _beside is not None:
        return
    scene = context.scene
    try:
        compute = _how().plan(context)
    except FlatwrightError as error:
        _note(context, sentence_of(error))
        return
    before = snapshot(now(context, "parts"))
    scene.flatwright_assembly.is_computing = True
    start, uid = time.perf_counter(), scene.session_uid

    def done(job: Job) -> None:
        global _beside
        _beside = None
        _seconds[uid] = time.perf_counter() - start
        found = next((s for s in bpy.data.scenes if s.session_uid == uid), None)
        if found is not None:
            found.flatwright_assembly.is_computing = False
            _take_up(bpy.context, found, job, before)

    _beside = run_beside(lambda progress: compute(), done)


def _take_up(
    context: bpy.types.Context, scene: bpy.types.Scene, job: Job, before: dict[Any, Any]
) -> None:
    """Show what was computed, if the scene is still as it was before; else begin again."""
    # Blender may not have told yet of what was changed meanwhile.
    read_anew(context)
    if context.scene != scene or snapshot(now(context, "parts")) != before:
        catch_up()
        return
    if job.error is not None and not isinstance(job.error, FlatwrightError):
        raise job.error
    with paused():
        if job.error is not None:
            trouble: Sentence | None = sentence_of(job.error)
        else:
            trouble = _how().show(context, job.result)
    _note(context, trouble)


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
def _moved_on(*_: Any) -> None:
    """Another frame may show parts or the fixture elsewhere."""
    if not _busy:
        _soon()


@persistent
def _forget(*_: Any) -> None:
    """After undo what is being computed says nothing."""
    global _beside
    if _beside is not None:
        _beside.stop.set()
    _beside = None
    _soon()


@persistent
def _open_file(*_: Any) -> None:
    """In another file neither does how long it took."""
    _seconds.clear()
    _forget()
    if bpy.app.background:
        # No timer comes by; what a window does in a moment is done now.
        catch_up()


@persistent
def _saving(*_: Any) -> None:
    """Save nothing that is a moment behind."""
    _catch_up(bpy.context, waits=True)


def _matters(scene: bpy.types.Scene, update: bpy.types.DepsgraphUpdate) -> bool:
    thing = update.id.original
    moved = update.is_updated_transform or update.is_updated_geometry
    return bool(moved and isinstance(thing, bpy.types.Object) and is_of_job(scene, thing))


HANDLERS = (
    (bpy.app.handlers.depsgraph_update_post, _touched),
    (bpy.app.handlers.frame_change_post, _moved_on),
    (bpy.app.handlers.undo_post, _forget),
    (bpy.app.handlers.redo_post, _forget),
    (bpy.app.handlers.load_post, _open_file),
    (bpy.app.handlers.save_pre, _saving),
)


def follow(building: Building) -> None:
    """Begin to listen for changes, and build parts so after them."""
    global _building
    _building = building
    listen()
    for handlers, function in HANDLERS:
        handlers.append(function)


def stop_following() -> None:
    """Leave nothing behind that listens."""
    stop_listening()
    for handlers, function in HANDLERS:
        if function in handlers:
            handlers.remove(function)
    if bpy.app.timers.is_registered(catch_up):
        bpy.app.timers.unregister(catch_up)
    _seconds.clear()
