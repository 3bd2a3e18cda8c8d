"""Ask the packing solver, in a process of its own that ends the moment it is no longer wanted."""

from __future__ import annotations

import json
import math
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Generator, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import IO

from ..arrays import Points
from ..errors import SheetError

__all__ = ["Item", "PackedStrip", "strips"]

LOOK_S = 0.1
WORKERS = 3
"""As many on every machine: the solver's answer depends on it."""
EXPLORING = 0.8
"""Share of the time for trying new ways; the rest pushes the best one together."""

Item = tuple[Points, tuple[float, ...]]
"""Corners (N, 2) of a piece in mm, and the turns in degrees it may make."""


@dataclass(frozen=True, slots=True)
class PackedStrip:
    """A packed strip: its length in mm and for each item (number, turn in degrees, x, y in mm)."""

    length_mm: float
    placed: tuple[tuple[int, float, float, float], ...]


def strips(
    items: Sequence[Item], height_mm: float, gap_mm: float, seconds: float, seed: int
) -> Generator[PackedStrip | None, None, None]:
    """Give every better strip as it is found, and None ten times a second while there is none.

    The solver is gone when the time is over, or when this iterator is closed or dropped.

    Parameters
    ----------
    items
        What is to be laid, each with its number and turns.
    height_mm, gap_mm
        Of the strip, and between pieces.
    seconds, seed
        How long is searched, and which random order it begins with.

    Raises
    ------
    SheetError
        If the solver cannot be started, or ends without an answer.
    """
    kinds, numbers = _kinds(items)
    exploring = max(math.floor(EXPLORING * seconds), 1)
    problem = {
        "items": [
            (corners.tolist(), turns, len(own))
            for (corners, turns), own in zip(kinds, numbers, strict=True)
        ],
        "height": height_mm,
        "gap": gap_mm,
        "workers": WORKERS,
        "exploring_s": exploring,
        "compressing_s": max(math.ceil(seconds) - exploring, 1),
        "seed": seed,
    }
    until = time.monotonic() + seconds
    lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
    with _child() as (process, given, told):
        threading.Thread(target=_pass_on, args=(told, lines), daemon=True).start()
        try:
            given.write(json.dumps(problem) + "\n")
            given.flush()
        except OSError as error:
            raise _no_solver(error) from error
        while (left := until - time.monotonic()) > 0.0:
            try:
                line = lines.get(timeout=min(LOOK_S, left))
            except queue.Empty:
                yield None
                continue
            if line is None:
                if process.wait() != 0:
                    raise _no_solver(f"it ended with {process.returncode}")
                return
            found = json.loads(line)
            free = [iter(own) for own in numbers]
            placed = tuple((next(free[kind]), *place) for kind, *place in found["placed"])
            yield PackedStrip(found["length"], placed)


def _kinds(items: Sequence[Item]) -> tuple[list[Item], list[list[int]]]:
    """The different items, and the numbers of those that are each: the solver knows copies."""
    kinds: dict[tuple[bytes, tuple[float, ...]], int] = {}
    different: list[Item] = []
    numbers: list[list[int]] = []
    for number, (corners, turns) in enumerate(items):
        kind = kinds.setdefault((corners.tobytes(), turns), len(different))
        if kind == len(different):
            different.append((corners, turns))
            numbers.append([])
        numbers[kind].append(number)
    return different, numbers


@contextmanager
def _child() -> Iterator[tuple[subprocess.Popen[str], IO[str], IO[str]]]:
    """The solver's process with its input and output; killed at the end."""
    spec = find_spec("spyrrow")
    if spec is None or spec.origin is None:
        raise _no_solver("it is not installed")
    folder = Path(spec.origin).resolve().parent.parent
    script = Path(__file__).with_name("solver_child.py")
    try:
        process = subprocess.Popen(
            [sys.executable, "-I", str(script), str(folder)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            encoding="utf-8",
            # Windows would open a console for it.
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )
    except (OSError, ValueError) as error:
        raise _no_solver(error) from error
    assert process.stdin is not None
    assert process.stdout is not None
    try:
        yield process, process.stdin, process.stdout
    finally:
        process.kill()
        process.wait()
        try:
            process.stdin.close()
        except OSError:
            # What was not yet written goes nowhere.
            pass


def _pass_on(told: IO[str], lines: queue.SimpleQueue[str | None]) -> None:
    with told:
        for line in told:
            lines.put(line)
    lines.put(None)


def _no_solver(why: object) -> SheetError:
    return SheetError(
        "The packing solver does not run ({why}). The layout stays as it is; install the "
        "extension again if you want it improved.",
        why=why,
    )
