"""When a scenario goes on: not after so much time, but when the window has done what was asked."""

import importlib
import threading
import time

import bpy

__all__ = ["MODULE", "Pace", "a_moment", "is_at_rest"]

MODULE = "bl_ext.user_default.flatwright"
LOOK_S = 0.01
REST_S = 0.06
ROUNDS_AT_REST = 5
"""How often Blender goes through its events and draws what is due, at least; else once."""
TIMERS = (
    ("state.runner", "collect"),
    ("state.beside", "_begin"),
    ("state.following", "catch_up"),
    ("bench.staying", "_later"),
)
"""By which the extension does later what it has begun."""


def a_moment() -> None:
    """Leave the processor to others.

    Blender that simulates events never sleeps by itself, and what works beside the window, or
    beside Blender, would have one processor less.
    """
    time.sleep(LOOK_S)


def is_at_rest() -> bool:
    """Whether the extension works at nothing, and nothing of it will come by itself."""
    later = (
        getattr(importlib.import_module(f"{MODULE}.addon.{room}"), name) for room, name in TIMERS
    )
    window = bpy.context.window_manager.windows[0]
    return (
        threading.active_count() == 1
        and not any(map(bpy.app.timers.is_registered, later))
        and all(getattr(one, "_job", None) is None for one in window.modal_operators)
    )


class Pace:
    """When a scenario goes on: after some rounds of Blender's, drawings and all; or at rest."""

    def __init__(self) -> None:
        self.wait(1.0)

    def wait(self, seconds: float | None) -> None:
        """Begin to wait for a moment, or until the extension is at rest, so long at most."""
        self._rounds = 0
        self._is_for_rest = seconds is not None
        self._end = time.monotonic() + (seconds or 0.0)
        self._quiet_since: float | None = None

    def is_over(self) -> bool:
        """Whether to go on; asked once a round."""
        self._rounds += 1
        if not self._is_for_rest:
            return True
        now = time.monotonic()
        if not is_at_rest():
            self._quiet_since = None
        elif self._quiet_since is None:
            self._quiet_since = now
        is_quiet = self._quiet_since is not None and now - self._quiet_since >= REST_S
        return self._rounds >= ROUNDS_AT_REST and (is_quiet or now >= self._end)
