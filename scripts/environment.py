"""A private environment for the scripts, made from pinned lists, so that nothing else is needed.

``ensure_environment`` makes or refreshes it and starts the calling script again inside it. A
second start costs nothing.
"""

from __future__ import annotations  # Older Pythons read this far, to start the right one.

import hashlib
import os
import shutil
import subprocess
import sys
import threading
from pathlib import Path

__all__ = ["BLENDERS", "ensure_environment", "make_environment"]

ROOT = Path(__file__).resolve().parents[1]
LISTS = ROOT / "scripts"

BLENDERS = {"4.2": "3.11", "4.5": "3.11", "5.2": "3.13"}
"""Blender as a Python module, and the one Python each is made for."""

SYSTEM_PACKAGES = (
    "libx11-6 libxrender1 libxxf86vm1 libxi6 libxkbcommon0 libxfixes3 libsm6 libice6 libgl1 libegl1"
)


def ensure_environment(purpose: str) -> None:
    """Start the calling script again inside its environment, unless it runs there already.

    Parameters
    ----------
    purpose
        "demo" for what the main job needs; "test" adds what only tests need.
    """
    if os.environ.get("FLATWRIGHT_ENVIRONMENT") == purpose:
        return
    own = f"{sys.version_info[0]}.{sys.version_info[1]}"
    blender = {"3.11": "4.5", "3.13": "5.2"}.get(own, "4.5")
    python = make_environment(blender, purpose)
    environment = {**os.environ, "FLATWRIGHT_ENVIRONMENT": purpose}
    environment.pop("PYTHONPATH", None)
    # Not exec: on Windows that would let go of the terminal before the work is done.
    raise SystemExit(subprocess.call([str(python), *sys.argv], env=environment))


def make_environment(blender: str, purpose: str = "demo") -> Path:
    """Make or refresh the environment for one Blender; return its Python."""
    default = {"4.5": ".venv", "5.2": ".venv"}
    own = f"{sys.version_info[0]}.{sys.version_info[1]}"
    name = default.get(blender, f".venv-{blender}")
    if BLENDERS[blender] != own and own in BLENDERS.values():
        name = f".venv-{blender}"
    folder = ROOT / name
    lists = [LISTS / f"requirements-blender-{blender}.txt"]
    if purpose == "test":
        lists.append(LISTS / "requirements-test.txt")
    hashes = [
        hashlib.sha256(b"".join(path.read_bytes() for path in lists[: n + 1])).hexdigest()
        for n in range(len(lists))
    ]
    wanted = hashes[-1]
    stamp = folder / "made-from.txt"
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    made = stamp.read_text().split() if stamp.exists() and python.exists() else []
    if wanted in made:
        return python
    if not python.exists():
        base = _find_python(BLENDERS[blender])
        _run([base, "-m", "venv", str(folder)], f"Making {name} with Python {BLENDERS[blender]}")
    command = [str(python), "-m", "pip", "install", "--disable-pip-version-check", "--quiet"]
    for path in lists:
        command += ["-r", str(path)]
    _run(command, f"Installing Blender {blender} and what it needs into {name}")
    _check_bpy(python)
    # Only what holds now: the lists may go back to what they were once.
    stamp.write_text("\n".join(hashes))
    return python


def _find_python(version: str) -> str:
    if sys.version_info[:2] == tuple(int(n) for n in version.split(".")):
        return sys.executable
    found = [shutil.which(name) for name in (f"python{version}", "python3", "python")]
    # pyenv's stand-in on PATH refuses to run a version that is not chosen; the real one is here.
    versions = Path(os.environ.get("PYENV_ROOT") or Path.home() / ".pyenv") / "versions"
    found += [str(path) for path in sorted(versions.glob(f"{version}.*/bin/python"))]
    for python in found:
        if python and _version(python) == version:
            return python
    raise SystemExit(
        f"This needs Python {version} (Blender is made for it), and only Python "
        f"{sys.version_info[0]}.{sys.version_info[1]} was found. Install Python {version} and "
        "start again."
    )


def _version(python: str) -> str:
    ask = [python, "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
    result = subprocess.run(ask, capture_output=True, text=True, check=False)
    return result.stdout.strip()


def _check_bpy(python: Path) -> None:
    ask = [str(python), "-c", "import bpy, os; os._exit(0)"]
    result = subprocess.run(ask, capture_output=True, text=True, check=False)
    if result.returncode != 0:
        raise SystemExit(
            f"Blender does not start here:\n{result.stderr.strip()[-600:]}\nOn Debian or Ubuntu "
            f"its libraries come with: apt-get install {SYSTEM_PACKAGES}"
        )


def _run(command: list[str], doing: str) -> None:
    """Run a command with a line that moves; show its words only if it fails."""
    done = threading.Event()

    def move() -> None:
        seconds = 0
        while not done.wait(1.0):
            seconds += 1
            if sys.stderr.isatty():
                print(f"\r{doing} … {seconds} s ", end="", file=sys.stderr, flush=True)
            elif seconds % 20 == 1:
                print(f"{doing} … {seconds} s", file=sys.stderr, flush=True)
        if sys.stderr.isatty():
            print("\r\033[K", end="", file=sys.stderr)

    mover = threading.Thread(target=move, daemon=True)
    mover.start()
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    done.set()
    mover.join()
    if result.returncode != 0:
        raise SystemExit(f"{doing} failed:\n{result.stdout[-2000:]}{result.stderr[-2000:]}")
