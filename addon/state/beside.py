"""Answers that are worked out beside the window, for what is drawn at every drawing.

Whoever draws asks with a mark of all that the answer depends on. What is not known for that mark is
begun when it has been asked for a moment; the panels are drawn anew when it is there.
"""

import time
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

import bpy

from .cache import forget_all
from .runner import Job, run_beside

__all__ = ["Answer", "answer", "forget_answers"]

T = TypeVar("T")
Plan = Callable[[], Callable[[], T]]
"""Reads Blender and returns the work, which must not touch it."""
WAIT_S = 0.15
"""After a change this long is waited, so that dragging stays smooth."""
QUICK_S = 0.03
"""What took no longer the last time is worked out at once."""
MOST_KEPT = 400


@dataclass(frozen=True, slots=True)
class Answer(Generic[T]):
    """What is known of something, and whether it is of the mark that was asked with."""

    value: T
    is_current: bool


@dataclass(frozen=True, slots=True)
class _Known:
    mark: str
    value: Any
    took_s: float


_known: dict[Hashable, _Known] = {}
_wanted: dict[Hashable, tuple[str, Plan[Any]]] = {}
_at_work: list[Job] = []


def answer(whose: Hashable, mark: str, plan: Plan[T]) -> Answer[T] | None:
    """Return what is known of something; None if nothing is yet.

    Parameters
    ----------
    whose
        What is asked, and of which thing.
    mark
        Differs with everything the answer depends on.
    plan
        Works it out.
    """
    kept = _known.get(whose)
    if kept is not None and kept.mark == mark:
        return Answer(kept.value, True)
    # Without a window no timer comes by.
    if bpy.app.background or (kept is not None and kept.took_s < QUICK_S):
        start = time.perf_counter()
        value = plan()()
        _keep(whose, _Known(mark, value, time.perf_counter() - start))
        return Answer(value, True)
    _wanted.pop(whose, None)
    _wanted[whose] = (mark, plan)
    if not bpy.app.timers.is_registered(_begin):
        bpy.app.timers.register(_begin, first_interval=WAIT_S)
    return Answer(kept.value, False) if kept is not None else None


def _keep(whose: Hashable, known: _Known) -> None:
    _known.pop(whose, None)
    while len(_known) >= MOST_KEPT:
        _known.pop(next(iter(_known)))
    _known[whose] = known


def _begin() -> None:
    """Begin what was asked for last, one at a time; older marks are likely out of date."""
    if _at_work or not _wanted:
        return
    whose, (mark, plan) = _wanted.popitem()
    start = time.perf_counter()
    work = plan()

    def done(job: Job) -> None:
        _at_work.clear()
        if job.error is not None:
            raise job.error
        _keep(whose, _Known(mark, job.result, time.perf_counter() - start))
        forget_all()
        _begin()

    _at_work.append(run_beside(lambda progress: work(), done))


def forget_answers() -> None:
    """Drop everything worked out, and begin nothing more."""
    if bpy.app.timers.is_registered(_begin):
        bpy.app.timers.unregister(_begin)
    for kept in (_known, _wanted, _at_work):
        kept.clear()
