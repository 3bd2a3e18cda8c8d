"""Read hostile files, numbers and records by the thousand; nothing may end in a bare Python error.

``python scripts/fuzz.py`` takes half a minute a kind, ``--long`` 20,000 cases a kind. A case that
fails is named by its seed: ``--kind dxf --seed 1234 --cases 1`` runs it again and shows why.
"""

from __future__ import annotations  # Older Pythons read this far, to start the right one.

import argparse
import json
import random
import resource
import subprocess
import sys
import tempfile
import threading
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from queue import Empty, Queue

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "scripts"), str(ROOT)]

from environment import ensure_environment  # noqa: E402

KINDS = ("pictures", "svg", "dxf", "numbers", "records", "storms")
SECONDS, LONG_CASES = 30.0, 20_000
SLOWEST_S, MOST_MB = 10.0, 1500
"""What one case may take: processor time, so that a busy machine fails none; and memory."""
PATIENCE_S = 180.0

Case = Callable[[random.Random, Path], None]


def case_of(kind: str) -> Case:
    """Return what runs one case of a kind."""
    from fuzzing import drawings, numbers, pictures, records, storms

    return {
        "pictures": pictures.run,
        "svg": drawings.run_svg,
        "dxf": drawings.run_dxf,
        "numbers": numbers.run,
        "records": records.run,
        "storms": storms.run,
    }[kind]


def outcome(case: Case, seed: int, folder: Path) -> str:
    """Return “read”, “told”, or how a case failed."""
    from geometry.errors import FlatwrightError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", RuntimeWarning)
            case(random.Random(seed), folder)
    except FlatwrightError as error:
        sentence = str(error)
        fine = sentence.endswith((".", "…")) and all(
            c.isprintable() or c in "\n\u00a0\u202f\u3000\u2009" for c in sentence
        )
        return "told" if fine else f"no sentence: {sentence!r}"
    except Exception:
        return traceback.format_exc(limit=-6)
    return "read"


def work(kind: str, first: int, last: int) -> None:
    """Run cases and write a line about each; the parent watches."""
    case = case_of(kind)
    with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
        base = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        for seed in range(first, last):
            print(json.dumps(["begin", seed]), flush=True)
            before = time.process_time()
            how = outcome(case, seed, Path(folder))
            peak = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - base) / 1024.0
            print(json.dumps(["end", seed, how, time.process_time() - before, peak]), flush=True)


class Campaign:
    """Cases of one kind in a process of its own, begun anew after one that crashed or hung."""

    def __init__(self, kind: str, first: int, cases: int, seconds: float) -> None:
        self.kind, self.next, self.last = kind, first, first + cases
        self.end = time.monotonic() + seconds
        self.counts: Counter[str] = Counter()
        self.failed: list[tuple[int, str]] = []
        self.slowest, self.largest = (0.0, -1), 0.0

    def run(self) -> None:
        """Run until all cases are done or the time is over."""
        while self.next < self.last and time.monotonic() < self.end:
            self._watch()

    def _watch(self) -> None:
        command = [sys.executable, __file__, "--work", self.kind, str(self.next), str(self.last)]
        child = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        lines: Queue[str] = Queue()
        assert child.stdout is not None
        source = child.stdout
        reader = threading.Thread(target=_pass_on, args=(source, lines), daemon=True)
        reader.start()
        current = self.next
        try:
            while time.monotonic() < self.end:
                line = lines.get(timeout=PATIENCE_S)
                if not line:
                    break
                mark, current, *rest = json.loads(line)
                if mark == "end":
                    self._note(current, *rest)
            if self.next <= current and child.wait(timeout=PATIENCE_S) != 0:
                self._fail(current, f"the process ended with {child.returncode}")
        except (Empty, subprocess.TimeoutExpired):
            if time.monotonic() < self.end:
                self._fail(current, f"nothing heard for {PATIENCE_S:.0f} s")
        finally:
            child.kill()
            child.wait()

    def _fail(self, seed: int, how: str) -> None:
        self.counts["failed"] += 1
        self.failed.append((seed, how))
        self.next = seed + 1

    def _note(self, seed: int, how: str, seconds: float, peak_mb: float) -> None:
        self.next = seed + 1
        self.slowest = max(self.slowest, (seconds, seed))
        self.largest = max(self.largest, peak_mb)
        if seconds > SLOWEST_S:
            how = f"took {seconds:.1f} s"
        elif peak_mb > MOST_MB:
            how = f"took {peak_mb:.0f} MB"
        if how in ("read", "told"):
            self.counts[how] += 1
        else:
            self._fail(seed, how)

    def report(self) -> None:
        """Print what happened."""
        print(
            f"{self.kind:<9} {sum(self.counts.values()):>6} cases: {self.counts['read']} read, "
            f"{self.counts['told']} told, {self.counts['failed']} failed; slowest "
            f"{self.slowest[0]:.2f} s (seed {self.slowest[1]}), most memory {self.largest:.0f} MB",
            flush=True,
        )
        for seed, how in self.failed[:8]:
            print(f"  seed {seed}:\n    " + how.strip().replace("\n", "\n    "), flush=True)


def _pass_on(source: object, lines: Queue[str]) -> None:
    for line in source:  # type: ignore[attr-defined]
        lines.put(line)
    lines.put("")


def main() -> int:
    """Run what the command line asks for; return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kind", choices=KINDS, action="append", help="one kind; repeatable")
    parser.add_argument("--seed", type=int, default=0, help="of the first case")
    parser.add_argument("--cases", type=int, default=10**9, help="how many of each kind")
    parser.add_argument("--seconds", type=float, default=SECONDS, help="for each kind")
    parser.add_argument("--long", action="store_true", help=f"{LONG_CASES} of each kind")
    parser.add_argument("--work", nargs=3, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.work:
        kind, first, last = options.work
        work(kind, int(first), int(last))
        return 0
    cases, seconds = options.cases, options.seconds
    if options.long:
        cases, seconds = LONG_CASES, 24.0 * 3600.0
    failed = 0
    for kind in options.kind or KINDS:
        campaign = Campaign(kind, options.seed, cases, seconds)
        campaign.run()
        campaign.report()
        failed += campaign.counts["failed"]
    return 1 if failed else 0


if __name__ == "__main__":
    ensure_environment("test")
    sys.exit(main())
