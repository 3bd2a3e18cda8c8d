"""Work beside the window: each job on a thread of its own, its result taken up by the window's.

One timer looks after all jobs. When one has ended, what waits for it is called, and everything is
drawn anew, panels too.
"""

import threading
from collections.abc import Callable
from typing import Any

import bpy

from ...geometry.errors import Cancelled
from ...geometry.progress import Progress
from ..blender.drawing import redraw

__all__ = ["Job", "Work", "run_beside", "stop_running"]

Work = Callable[[Progress], Any]
LOOK_S = 0.03


class Job:
    """One computation on a thread of its own, which must not touch Blender."""

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

    @property
    def is_done(self) -> bool:
        """Whether it has ended, with a result or an error."""
        return not self.thread.is_alive()

    def wait(self) -> Any:
        """Return the result once it is there, or raise what computing it did."""
        self.thread.join()
        if self.error is not None:
            raise self.error
        return self.result


Done = Callable[[Job], None]
_running: list[tuple[Job, Done]] = []


def run_beside(work: Work, done: Done) -> Job:
    """Begin a job; when it has ended, ``done`` gets it on the window's thread."""
    job = Job(work)
    _running.append((job, done))
    if not bpy.app.timers.is_registered(collect):
        bpy.app.timers.register(collect, first_interval=LOOK_S)
    return job


def collect() -> float | None:
    """Take up every job that has ended; called by a timer as long as any is running."""
    ended = [one for one in _running if one[0].is_done]
    for one in ended:
        _running.remove(one)
        one[1](one[0])
    if ended:
        redraw()
    return LOOK_S if _running else None


def stop_running() -> None:
    """Tell every job to stop, and take up none of them."""
    for job, _ in _running:
        job.stop.set()
    _running.clear()
    if bpy.app.timers.is_registered(collect):
        bpy.app.timers.unregister(collect)
