"""Run every test: lint, types, the core, the outside checks, inside Blender, in a real window.

``python scripts/test.py`` makes its own environment first. ``--only core`` runs one ring. Rings run
two at a time, as most machines have cores for it; each one's words come when it has ended.
"""

from __future__ import annotations  # Older Pythons read this far, to start the right one.

import argparse
import os
import re
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from environment import BLENDERS, ensure_environment, make_environment

ROOT = Path(__file__).resolve().parents[1]
RINGS = ("lint", "types", "outside", "blender", "window", "core")
"""The quicker before the longer."""
OLDEST_WINDOWED = (4, 2)
AT_ONCE = 2
WINDOW_PARTS = 3
PRINTING = threading.Lock()
LONG: list[str] = []
"""What makes pytest run what is marked as long, too; filled by the command line."""
KEPT_MEMORY = {
    "MALLOC_MMAP_THRESHOLD_": str(2**30),
    "MALLOC_TRIM_THRESHOLD_": str(2**32),
    "MALLOC_TOP_PAD_": str(2**26),
}
"""Lets glibc keep the memory of one picture for the next: a sixth of the tests' time went into
giving pages back and asking for them again. Other systems pass over it."""
ONE_THREAD = {"OPENBLAS_NUM_THREADS": "1"}
"""Rings run side by side, and numpy's threads in one of them only take the other's processor: they
doubled what a trace takes of it, and ended no sooner."""
RENDERERS = ("chromium", "pdftoppm")
"""Programs that draw the files as others will see them."""


@dataclass
class Result:
    """How a ring went."""

    name: str
    passed: int = 0
    failed: int = 0
    note: str = ""


def run_tool(name: str, *command: str) -> Result:
    """Run a tool that is right or wrong as a whole."""
    done = subprocess.run(
        [sys.executable, "-m", *command],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    show(name, done.stdout)
    ok = done.returncode == 0
    return Result(name, passed=int(ok), failed=int(not ok))


def show(name: str, words: str) -> None:
    """Print what one ring said, in one piece."""
    with PRINTING:
        print(f"\n== {name}\n{words.rstrip()}", flush=True)


def run_pytest(
    name: str, *folders: str, python: str = sys.executable, extra: dict[str, str] | None = None
) -> Result:
    """Run a folder of tests in a process of its own; count from pytest's own summary."""
    with PRINTING:
        print(f"{name}: running", flush=True)
    command = [python, "-m", "pytest", "-c", "tests/pytest.ini", "-q", *LONG, *folders]
    process = subprocess.Popen(
        command,
        cwd=ROOT,
        env={**KEPT_MEMORY, **ONE_THREAD, **os.environ, **(extra or {})},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert process.stdout is not None
    result, words = Result(name), []
    for line in process.stdout:
        # Blender as a module grumbles about its memory when Python ends; that is not ours.
        if "leak detector" in line or "Not freed memory" in line:
            continue
        words.append(line)
        if re.search(r"\d+ (passed|failed|error)", line):
            result.passed = _count(line, "passed")
            result.failed = _count(line, "failed") + _count(line, "errors?")
    if process.wait() != 0 and result.failed == 0:
        result.failed = 1
        result.note = f"pytest ended with {process.returncode}"
    show(name, "".join(words))
    return result


def _count(line: str, word: str) -> int:
    found = re.search(rf"(\d+) {word}\b", line)
    return int(found.group(1)) if found else 0


def windowed_blender() -> str | None:
    """Return a Blender with a window, from BLENDER or PATH, if it is new enough."""
    path = os.environ.get("BLENDER") or shutil.which("blender")
    if not path:
        return None
    told = subprocess.run([path, "--version"], capture_output=True, text=True, check=False).stdout
    version = re.search(r"Blender (\d+)\.(\d+)", told)
    if version and tuple(int(n) for n in version.groups()) >= OLDEST_WINDOWED:
        return path
    return None


def jobs(name: str, options: argparse.Namespace) -> list[Callable[[], list[Result]]]:
    """What one ring runs, each job for itself."""
    if name == "lint":
        return [
            lambda: [
                run_tool("lint: ruff", "ruff", "check", "."),
                run_tool("format: ruff", "ruff", "format", "--check", "."),
            ]
        ]
    if name == "types":
        addon = ("mypy", "--config-file", "scripts/mypy-addon.ini", "addon")
        return [lambda: [run_tool("types: core", "mypy"), run_tool("types: add-on", *addon)]]
    if name == "core":
        return [lambda: [run_pytest(name, "tests/core")]]
    if name == "outside":
        return [run_outside]
    if name == "blender":
        wanted = list(BLENDERS) if options.all_blenders else [_own_blender()]
        return [partial(_in_blender, version) for version in wanted]
    return [partial(run_in_window, part) for part in range(WINDOW_PARTS)]


def run_in_window(part: int) -> list[Result]:
    """Run one part of the tests in a real window, where there is a Blender that has one."""
    name = f"window {part + 1} of {WINDOW_PARTS}"
    path = windowed_blender()
    if path is None:
        note = "NOT RUN: no windowed Blender 4.2 or newer on PATH or in BLENDER"
        return [Result(name, failed=int(must_run()), note=note)]
    files = sorted(file.relative_to(ROOT) for file in ROOT.glob("tests/window/test_*.py"))
    mine = [str(file) for file in files[part::WINDOW_PARTS]]
    return [run_pytest(name, *mine, extra={"BLENDER": path})]


def in_order(names: Sequence[str], options: argparse.Namespace) -> list[Callable[[], list[Result]]]:
    """Return all jobs in the order to start them: the longest first, or one is left at the end.

    The core takes about as long as all parts of the window one after the other, beside it: two
    windows at once draw each other slow.
    """
    return [job for name in reversed(RINGS) if name in names for job in jobs(name, options)]


def run_outside() -> list[Result]:
    """Run the outside checks; those that look at rendered files only where that can be done."""
    absent = [tool for tool in RENDERERS if shutil.which(tool) is None]
    if not absent:
        return [run_pytest("outside", "tests/outside")]
    note = f"NOT RUN: rendered files, for want of {' and '.join(absent)}"
    result = run_pytest("outside", "tests/outside", "-m", "not rendered")
    return [result, Result("outside: rendered", failed=int(must_run()), note=note)]


def must_run() -> bool:
    """Whether what this machine lacks counts as failed."""
    return any(os.environ.get(name) for name in ("CI", "BLENDER_REQUIRED"))


def _in_blender(version: str) -> list[Result]:
    return [run_in_blender(version)]


def run_in_blender(version: str) -> Result:
    """Run the tests inside one Blender; without it, that one fails and the others still run."""
    name = f"blender {version}"
    try:
        python = make_environment(version, "test")
    except SystemExit as missing:
        show(name, str(missing))
        return Result(name, failed=1, note="NOT RUN: its environment could not be made")
    extra = {"FLATWRIGHT_ENVIRONMENT": "test"}
    return run_pytest(name, "tests/blender", python=str(python), extra=extra)


def _own_blender() -> str:
    return "5.2" if sys.version_info[:2] == (3, 13) else "4.5"


def main() -> int:
    """Run what the command line asks for; return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", choices=RINGS, action="append", help="run one ring; repeatable")
    parser.add_argument(
        "--all-blenders", action="store_true", help=f"run inside Blender {', '.join(BLENDERS)}"
    )
    parser.add_argument(
        "--long", action="store_true", help="also more cases, more hostile files and all scenarios"
    )
    options = parser.parse_args()
    LONG.extend(["--long"] if options.long else [])
    with ThreadPoolExecutor(max_workers=AT_ONCE) as pool:
        waiting = [pool.submit(job) for job in in_order(options.only or RINGS, options)]
        results = [r for future in waiting for r in future.result()]
    print("\n== Summary")
    for result in results:
        state = "FAILED" if result.failed else "passed" if result.passed else ""
        print(
            f"{result.name:<16} {result.passed:>5} passed {result.failed:>3} failed  {state} "
            f"{result.note}".rstrip()
        )
    passed, failed = sum(r.passed for r in results), sum(r.failed for r in results)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    ensure_environment("test")
    sys.exit(main())
