"""How long the window's thread is held at a stretch, and by whom.

A second thread looks every few milliseconds at what the window's thread is doing. As long as it
sees one and the same call from Blender into the extension, that is one stretch: nothing is drawn
and no key is answered. On a busy machine a stretch is longer than what was worked in it, so that is
told as well. A timer tells beside it how long the window came to nothing at all.
"""

import collections
import sys
import threading
import time

import bpy

LOOK_S, TICK_S = 0.002, 0.01
OURS = ("/flatwright/addon/", "/flatwright/geometry/")


def _name(code):
    return f"{code.co_filename.rsplit('/flatwright/', 1)[-1]}:{code.co_name}"


class Stretches:
    """Watches the window's thread from ``with`` to its end."""

    def __enter__(self):
        self.longest_s, self.total_s, self.tick_s = 0.0, 0.0, 0.0
        self.worked_s = 0.0
        self.entry, self.inside = "", []
        self.all = []
        self._main = threading.main_thread().ident
        self._clock = time.pthread_getcpuclockid(self._main)
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._look, daemon=True)
        self._last = time.perf_counter()
        bpy.app.timers.register(self._tick, first_interval=0.0)
        self._thread.start()
        return self

    def __exit__(self, *rest):
        self._ended.set()
        self._thread.join()
        if bpy.app.timers.is_registered(self._tick):
            bpy.app.timers.unregister(self._tick)

    def _tick(self):
        now = time.perf_counter()
        self.tick_s = max(self.tick_s, now - self._last)
        self._last = now
        return None if self._ended.is_set() else TICK_S

    def _look(self):
        key, began, seen, names = None, 0.0, 0.0, collections.Counter()
        worked = worked_seen = 0.0
        while not self._ended.is_set():
            now = time.perf_counter()
            entry, inner = self._ours()
            worked_now = time.clock_gettime(self._clock)
            if entry is not key:
                if key is not None:
                    self._note(key, seen - began, worked_seen - worked, names)
                key, began, worked, names = entry, now, worked_now, collections.Counter()
            seen, worked_seen = now, worked_now
            names[inner] += 1
            time.sleep(LOOK_S)
        if key is not None:
            self._note(key, seen - began, worked_seen - worked, names)

    def _ours(self):
        """The outermost frame that is the extension's, and the names of those it is in."""
        frame = sys._current_frames().get(self._main)
        entry, names = None, []
        while frame is not None:
            if any(part in frame.f_code.co_filename for part in OURS):
                entry = frame
                names.append(_name(frame.f_code))
            frame = frame.f_back
        return entry, " < ".join(names[:3])

    def _note(self, frame, seconds, worked, names):
        self.total_s += seconds
        outer = _name(frame.f_code)
        self.all.append((seconds, outer))
        if seconds > self.longest_s:
            self.longest_s, self.worked_s, self.entry = seconds, worked, outer
            self.inside = [f"{count} {name}" for name, count in names.most_common(4)]

    def told(self):
        """What was seen, to write down."""
        return {
            "longest_ms": round(1e3 * self.longest_s),
            "of_it_working_ms": round(1e3 * self.worked_s),
            "in": self.entry,
            "mostly": self.inside,
            "total_ms": round(1e3 * self.total_s),
            "window_came_to_nothing_ms": round(1e3 * self.tick_s),
            "over_100_ms": [
                f"{1e3 * s:.0f} {name}" for s, name in sorted(self.all, reverse=True) if s > 0.1
            ],
        }
