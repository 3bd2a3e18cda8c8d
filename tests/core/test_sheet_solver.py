"""The packing solver's process: gone when no longer wanted, whoever stops wanting it."""

import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from geometry.errors import SheetError
from geometry.outline import Loop, Profile
from geometry.part.stock import Stock
from geometry.sheet import Piece, lay_out, solver, tighten

ROOT = Path(__file__).resolve().parents[2]
WEDGE = np.array([(0.0, 0.0), (150.0, 0.0), (0.0, 95.0)])
TURNS = (0.0, 90.0, 180.0, 270.0)


@pytest.fixture
def started(monkeypatch):
    """Processes the solver starts."""
    found, make = [], subprocess.Popen

    def keep(*rest, **more):
        found.append(make(*rest, **more))
        return found[-1]

    monkeypatch.setattr(subprocess, "Popen", keep)
    return found


def test_it_is_gone_at_once_when_stopped(started):
    asked = solver.strips([(WEDGE, TURNS)] * 30, 400.0, 3.0, 600.0, 0)
    while next(asked) is None:
        pass
    (process,) = started
    assert process.poll() is None
    began = time.monotonic()
    asked.close()
    assert process.poll() is not None
    assert time.monotonic() - began < 2.0


def test_it_ends_with_a_killed_program():
    # The program that asked is killed and can clean nothing up.
    script = (
        "import sys, numpy as np\n"
        "from geometry.sheet import solver\n"
        "wedge = np.array([(0.0, 0.0), (150.0, 0.0), (0.0, 95.0)])\n"
        "make = solver.subprocess.Popen\n"
        "def keep(*rest, **more):\n"
        "    process = make(*rest, **more)\n"
        "    print(process.pid, flush=True)\n"
        "    return process\n"
        "solver.subprocess.Popen = keep\n"
        "for strip in solver.strips([(wedge, (0.0, 90.0))] * 30, 400.0, 3.0, 600.0, 0):\n"
        "    if strip is not None:\n"
        "        print('found', flush=True)\n"
    )
    program = subprocess.Popen(
        [sys.executable, "-c", script], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    pid = int(program.stdout.readline())
    assert program.stdout.readline() == "found\n"
    program.kill()
    # Its output closes when the last that writes to it is gone; the solver has another one.
    program.communicate()
    until = time.monotonic() + 10.0
    while _lives(pid) and time.monotonic() < until:
        time.sleep(0.05)
    assert not _lives(pid)


def _lives(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    # A process that ended but was not waited for still has its number.
    stat = Path(f"/proc/{pid}/stat")
    return not (stat.exists() and stat.read_text().rsplit(")", 1)[1].split()[0] == "Z")


@pytest.mark.parametrize("program", ["/nowhere/python", "/bin/false"])
def test_one_that_does_not_run_is_told(monkeypatch, program):
    monkeypatch.setattr(sys, "executable", program)
    stock = Stock("3 mm plywood", 2.9, 0.18, "laser", 0.0, (600.0, 400.0))
    wedge = Profile(Loop.through(WEDGE.tolist()))
    first = lay_out([Piece(wedge, 2, "wedge")], stock)
    with pytest.raises(SheetError, match=r"does not run .* stays as it is"):
        tighten(first, margin_mm=5.0, gap_mm=3.0, budget_s=1.0)
