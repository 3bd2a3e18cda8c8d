"""What the demo prints: a line that moves while it works, figures, and how long each stage took."""

import os
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["Log"]


@contextmanager
def _blender_quiet(streams: tuple[int, ...]) -> Iterator[None]:
    """Keep what Blender itself prints out of the report; errors still come as exceptions."""
    sys.stdout.flush()
    kept = [os.dup(stream) for stream in streams]
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in streams:
        os.dup2(nowhere, stream)
    try:
        yield
    finally:
        sys.stdout.flush()
        for stream, before in zip(streams, kept, strict=True):
            os.dup2(before, stream)
            os.close(before)
        os.close(nowhere)


class Log:
    """Prints stages as they happen; counts the figures that miss their goal."""

    failures = 0

    def __init__(self, started: float) -> None:
        self._started = started
        self._times: list[tuple[str, float]] = []
        self._lines: list[str] = []
        if time.time() - started > 1.0:
            self._times.append(("Environment", time.time() - started))

    @contextmanager
    def stage(self, name: str, doing: str, *, draws: bool = False) -> Iterator[None]:
        """Show a moving line while the block runs, then its figures and its time.

        Where Blender ``draws``, graphics drivers complain if the machine has no screen, though the
        pictures come out; that is kept out too, and with it the moving line.
        """
        begun = time.time()
        self._lines = []
        done = threading.Event()
        mover = threading.Thread(target=self._move, args=(f"{name}: {doing}", done), daemon=True)
        mover.start()
        try:
            with _blender_quiet((1, 2) if draws else (1,)):
                yield
        finally:
            done.set()
            mover.join()
            self._times.append((name, time.time() - begun))
            print(f"{name} ({time.time() - begun:.1f} s)")
            for line in self._lines:
                print(f"    {line}")
            sys.stdout.flush()

    def say(self, line: str) -> None:
        """Add a figure to the stage."""
        self._lines.append(line)

    def compare(self, what: str, found: float, true: float, unit: str, within: float) -> None:
        """Add a figure beside its truth, and whether it is within the goal."""
        good = abs(found - true) <= within
        known = f" (truth {true:.3f} {unit})" if true else ""
        verdict = f"goal ± {within:g} {unit}: {'met' if good else 'MISSED'}"
        digits = 3 if abs(found) >= 0.1 else 4
        self.say(f"{what} {found:.{digits}f} {unit}{known}, {verdict}")
        if not good:
            Log.failures += 1

    def fail(self, what: str) -> None:
        """Add a goal that was missed altogether."""
        self.say(f"MISSED: {what}")
        Log.failures += 1

    def finish(self, folder: Path) -> None:
        """Say what took how long and where everything is."""
        print("\nWhat took how long")
        for name, seconds in self._times:
            print(f"    {name:<12} {seconds:6.1f} s")
        print(f"    {'all':<12} {time.time() - self._started:6.1f} s")
        verdict = "every goal met" if Log.failures == 0 else f"{Log.failures} goals MISSED"
        print(f"\n{verdict}. Everything is in {folder}")

    @staticmethod
    def _move(text: str, done: threading.Event) -> None:
        moving = sys.stderr.isatty()
        begun = time.time()
        while not done.wait(0.25):
            if moving:
                print(f"\r{text} … {time.time() - begun:.0f} s ", end="", file=sys.stderr)
        if moving:
            print("\r\033[K", end="", file=sys.stderr)
