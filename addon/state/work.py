"""Long work off the drawing thread: progress in the status bar, Esc stops it.

An operator says what to compute and what to do with the answer. Called from a script or in
background mode it runs straight through; started by a person it runs beside the window.
"""

from collections.abc import Callable, Generator
from typing import Any

import bpy

from ...geometry.errors import Cancelled, FlatwrightError
from ...geometry.progress import Progress
from ..blender.drawing import redraw
from ..locale.words import hinted, in_words, reported, translated
from .last_folder import keep_folder, start_where_last
from .records import refuse_newer
from .runner import Job, Work

__all__ = ["LongWork", "Stages", "Work", "plainly"]

Stages = Generator[Work, Any, None]
"""Works one after the other; each gets its result back, or what it raised."""


def plainly(method: Callable[..., set[str]]) -> Callable[..., set[str]]:
    """Turn a person's mistake into a sentence at the window's foot, with nothing changed."""

    def call(self: Any, context: bpy.types.Context, *rest: Any) -> set[str]:
        try:
            refuse_newer(context.scene)
            return method(self, context, *rest)
        except FlatwrightError as error:
            self.report({"ERROR"}, in_words(error))
            return {"CANCELLED"}

    call.__name__, call.__doc__ = method.__name__, method.__doc__
    return call


class LongWork:
    """Mixin for operators whose computing may take longer than a blink.

    ``gather`` runs on the window's thread, reads Blender and returns the work, which must not
    touch Blender; ``finish`` gets its result on the window's thread and changes the scene. What
    needs more than one stretch of work says so in ``stages``.
    """

    bl_label: str
    bl_idname: str
    report: Callable[..., None]
    gather: Callable[[bpy.types.Context], Work]
    finish: Callable[[bpy.types.Context, Any], None]

    _job: Any = None
    """What is computed beside the window; None as long as nothing was started by hand."""
    _listening = False
    """Whether Blender already sends this run its events; a second handler would end it twice."""
    _asking = ""
    """Which dialog is open, if any: its answer starts the work beside the window."""

    def stages(self, context: bpy.types.Context) -> Stages:
        """Yield one work after the other and get back its result, or what it raised."""
        result = yield self.gather(context)
        self.finish(context, result)

    @plainly
    def execute(self, context: bpy.types.Context) -> set[str]:
        asked, self._asking = self._asking, ""
        if asked:
            return self._invoke_again() if asked == "file" else self.start(context)
        manager = context.window_manager
        manager.progress_begin(0, 100)
        try:
            self._run_through(
                context, lambda fraction, _: manager.progress_update(int(100 * fraction))
            )
        finally:
            manager.progress_end()
        return {"FINISHED"}

    def _run_through(self, context: bpy.types.Context, progress: Progress) -> None:
        stages = self.stages(context)
        work = next(stages, None)
        while work is not None:
            try:
                result = work(progress)
            except FlatwrightError as error:
                work = _thrown(stages, error)
            else:
                work = _sent(stages, result)

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        return self.start(context)

    def ask_for_file(self, context: bpy.types.Context) -> set[str]:
        """Open the file dialog; what is chosen there starts the work beside the window."""
        self._asking = "file"
        start_where_last(self)
        context.window_manager.fileselect_add(self)  # type: ignore[arg-type]
        return {"RUNNING_MODAL"}

    def ask_for_settings(self, context: bpy.types.Context) -> set[str]:
        """Open a dialog of the operator's settings; OK starts the work beside the window."""
        self._asking = "settings"
        ask: Any = context.window_manager.invoke_props_dialog
        return set(ask(self))

    def _invoke_again(self) -> set[str]:
        """Start anew with what was chosen; a dialog's own answer would run on the window's thread.

        It counts as cancelled, so that there is one step to undo and not two.
        """
        this: Any = self
        chosen = {
            name: value
            for name, value in this.as_keywords().items()
            if this.properties.is_property_set(name)
        }
        keep_folder(self)
        room, name = type(self).bl_idname.split(".")
        try:
            getattr(getattr(bpy.ops, room), name)("INVOKE_DEFAULT", **chosen)
        except RuntimeError as error:
            # Blender hands on as an exception what the second run has reported.
            told = str(error).removeprefix("Error: ").strip()
            self.report({"ERROR"}, told)
        return {"CANCELLED"}

    @plainly
    def start(self, context: bpy.types.Context) -> set[str]:
        if bpy.app.background:
            return self.execute(context)
        self._stages = self.stages(context)
        work = next(self._stages, None)
        if work is None:
            return {"FINISHED"}
        self._begin(context, work)
        self.listen(context)
        return {"RUNNING_MODAL"}

    def _begin(self, context: bpy.types.Context, work: Work) -> None:
        self._job = Job(work)
        self._timer = context.window_manager.event_timer_add(0.05, window=context.window)

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
        if not job.is_done:
            context.workspace.status_text_set(
                hinted(
                    "{what}: {doing} {percent} %   (Esc: Stop)",
                    what=translated(self.bl_label),
                    doing=translated(job.message),
                    percent=round(100 * job.fraction),
                )
            )
            return {"RUNNING_MODAL"}
        context.window_manager.event_timer_remove(self._timer)
        context.workspace.status_text_set(None)
        # Blender draws panels anew when the mouse moves; a result shows at once.
        redraw()
        return self._end(context, job)

    @plainly
    def _end(self, context: bpy.types.Context, job: Job) -> set[str]:
        try:
            if job.error is not None:
                work = _thrown(self._stages, job.error)
            else:
                work = _sent(self._stages, job.result)
        except Cancelled:
            self.report(
                {"INFO"},
                reported("{what} stopped; nothing was changed.", what=translated(self.bl_label)),
            )
            return {"CANCELLED"}
        if work is None:
            return {"FINISHED"}
        self._begin(context, work)
        return {"RUNNING_MODAL"}


def _sent(stages: Stages, result: Any) -> Work | None:
    """The next work after a result; None at the end."""
    try:
        return stages.send(result)
    except StopIteration:
        return None


def _thrown(stages: Stages, error: BaseException) -> Work | None:
    """The next work after an error, if the operator goes on in spite of it."""
    try:
        return stages.throw(error)
    except StopIteration:
        return None
