"""Long work off the drawing thread: progress in the status bar, Esc stops it.

An operator says what to compute and what to do with the answer. Called from a script or in
background mode it runs straight through; started by a person it runs beside the window.
"""

import threading
from collections.abc import Callable
from typing import Any

import bpy

from ..geometry.errors import Cancelled, FlatwrightError
from ..geometry.progress import Progress

__all__ = ["LongWork", "Work", "plainly"]

Work = Callable[[Progress], Any]


def plainly(method: Callable[..., set[str]]) -> Callable[..., set[str]]:
    """Turn a person's mistake into a sentence at the window's foot, with nothing changed."""

    def call(self: Any, context: bpy.types.Context, *rest: Any) -> set[str]:
        try:
            return method(self, context, *rest)
        except FlatwrightError as error:
            self.report({"ERROR"}, str(error))
            return {"CANCELLED"}

    call.__name__, call.__doc__ = method.__name__, method.__doc__
    return call


class _Job:
    """One computation on a thread of its own."""

    def __init__(self, work: Work) -> None:
        self.fraction, self.message = 0.0, ""
        self.stop = threading.Event()
        self.result: Any = None
        self.error: BaseException | None = None
        self._work = work
        self.thread = threading.Thread(target=self._run, daemon=True)
        self.thread.start()

    def _run(self) -> None:
        try:
            self.result = self._work(self._tell)
        except BaseException as error:
            self.error = error

    def _tell(self, fraction: float, message: str) -> None:
        self.fraction, self.message = fraction, message
        if self.stop.is_set():
            raise Cancelled


class LongWork:
    """Mixin for operators whose computing may take longer than a blink.

    ``gather`` runs on the window's thread, reads Blender and returns the work, which must not
    touch Blender; ``finish`` gets its result on the window's thread and changes the scene.
    """

    bl_label: str
    report: Callable[..., None]
    gather: Callable[[bpy.types.Context], Work]
    finish: Callable[[bpy.types.Context, Any], None]

    _listening = False
    """Whether Blender already sends this run its events; a second handler would end it twice."""

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        work = self.gather(context)
        manager = context.window_manager
        manager.progress_begin(0, 100)
        try:
            result = work(lambda fraction, _: manager.progress_update(int(100 * fraction)))
        finally:
            manager.progress_end()
        self.finish(context, result)
        return {"FINISHED"}

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        return self.start(context)

    @plainly
    def start(self, context: bpy.types.Context) -> set[str]:
        if bpy.app.background:
            return self.execute(context)
        self._job = _Job(self.gather(context))
        self._timer = context.window_manager.event_timer_add(0.05, window=context.window)
        self.listen(context)
        return {"RUNNING_MODAL"}

    def listen(self, context: bpy.types.Context) -> None:
        """Ask Blender for the window's events, once a run."""
        if not self._listening:
            self._listening = True
            context.window_manager.modal_handler_add(self)  # type: ignore[arg-type]

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if event.type == "ESC":
            self._job.stop.set()
        if event.type != "TIMER":
            return {"RUNNING_MODAL"}
        job = self._job
        if job.thread.is_alive():
            context.workspace.status_text_set(
                f"{self.bl_label}: {job.message} {100 * job.fraction:.0f} %   (Esc: Stop)"
            )
            return {"RUNNING_MODAL"}
        context.window_manager.event_timer_remove(self._timer)
        context.workspace.status_text_set(None)
        return self._end(context, job)

    @plainly
    def _end(self, context: bpy.types.Context, job: _Job) -> set[str]:
        if isinstance(job.error, Cancelled):
            self.report({"INFO"}, f"{self.bl_label} stopped; nothing was changed.")
            return {"CANCELLED"}
        if job.error is not None:
            raise job.error
        self.finish(context, job.result)
        return {"FINISHED"}
