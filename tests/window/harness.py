"""Starts a real Blender on a display of its own and plays a scenario in it."""

import contextlib
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageGrab

__all__ = ["Outcome", "display", "find_blender", "install", "play"]

HERE = Path(__file__).resolve().parent
SIZE = (1600, 1000)
BETWEEN_LOOKS_S, MOST_LOOKS = 0.08, 6


@dataclass(frozen=True)
class Outcome:
    """What a scenario found, the pictures taken on the way, by name, and its folder."""

    checks: dict
    pictures: dict[str, Path]
    log: str
    folder: Path


def find_blender() -> str | None:
    """The windowed Blender to test with: named in BLENDER, else the one on PATH."""
    return os.environ.get("BLENDER") or shutil.which("blender")


@contextlib.contextmanager
def display() -> Iterator[str]:
    """A screen of its own where Xvfb is at hand, else the one there is."""
    server = shutil.which("Xvfb")
    if server is None:
        if "DISPLAY" not in os.environ:
            raise RuntimeError("There is no display and no Xvfb to make one. Install Xvfb.")
        yield os.environ["DISPLAY"]
        return
    screen = f"{SIZE[0]}x{SIZE[1]}x24"
    reading, writing = os.pipe()
    process = subprocess.Popen(
        [server, "-displayfd", str(writing), "-screen", "0", screen, "+extension", "GLX"],
        pass_fds=(writing,),
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    try:
        number = os.read(reading, 16).decode().strip()
        if not number:
            raise RuntimeError("Xvfb did not start.")
        yield f":{number}"
    finally:
        os.close(reading)
        process.terminate()
        process.wait(10)


def install(blender: str, zip_path: Path, resources: Path) -> None:
    """Install the built zip as ``blender --command extension install-file`` does."""
    environment = {**os.environ, "BLENDER_USER_RESOURCES": str(resources)}
    command = [blender, "--command", "extension", "install-file", "-r", "user_default", "-e"]
    result = subprocess.run(
        [*command, str(zip_path)], env=environment, capture_output=True, text=True, timeout=120
    )
    if result.returncode != 0:
        raise RuntimeError(f"Blender refuses the zip:\n{result.stdout}{result.stderr}")


def play(
    blender: str,
    screen: str,
    resources: Path,
    scenario: Path,
    out: Path,
    *,
    seconds: float = 900.0,
    size: tuple[int, int] = SIZE,
) -> Outcome:
    """Run one scenario file in one Blender and return what it noted.

    ``size`` is the window's width and height in pixels.

    Raises
    ------
    RuntimeError
        With Blender's own words, if the scenario raised, Blender died or time ran out.
    """
    shutil.rmtree(out, ignore_errors=True)
    out.mkdir(parents=True)
    width, height = size
    command = [blender, "--factory-startup", "--enable-event-simulate", "--window-geometry"]
    command += ["0", "0", str(width), str(height), "--python", str(HERE / "driver.py")]
    environment = {
        **os.environ,
        "DISPLAY": screen,
        "BLENDER_USER_RESOURCES": str(resources),
        "LIBGL_ALWAYS_SOFTWARE": "1",
    }
    log_path = out / "blender.log"
    with log_path.open("w") as log:
        process = subprocess.Popen(
            [*command, "--", str(scenario), str(out)],
            env=environment,
            stdout=log,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        in_time = _serve(process, screen, out, time.monotonic() + seconds)
    words = log_path.read_text(errors="replace")
    written = out / "findings.json"
    findings = json.loads(written.read_text()) if written.exists() else {}
    if not findings.get("finished"):
        why = "" if in_time else f"Killed after {seconds:.0f} s. "
        noted = f"{findings.get('traceback', '')}\nNoted: {findings.get('checks')}"
        raise RuntimeError(f"{why}{noted}\n{words[-3000:]}")
    pictures = {path.stem.split(" ", 1)[1]: path for path in sorted(out.glob("*.png"))}
    return Outcome(findings["checks"], pictures, words, out)


def _serve(process: subprocess.Popen, screen: str, out: Path, end: float) -> bool:
    """Take the pictures and drop the files a scenario asks for until Blender ends.

    False if it had to be killed.
    """
    while process.poll() is None:
        for request in sorted(out.glob("*.request")):
            picture = _still_picture(screen)
            request.unlink()
            picture.save(request.with_suffix(".png"), compress_level=1)
        for request in sorted(out.glob("*.drop")):
            asked = json.loads(request.read_text())
            place = [str(number) for number in asked["at"]]
            command = [sys.executable, str(HERE / "xdnd.py"), screen, asked["path"], *place]
            subprocess.run(command, check=False, timeout=60)
            request.unlink()
        if time.monotonic() > end:
            os.killpg(process.pid, 9)
            process.wait(10)
            return False
        time.sleep(0.01)
    return True


def _still_picture(screen: str) -> Image.Image:
    """Picture of the whole screen, once two in a row are the same, or after a while.

    Blender's own would be black on a software display.
    """
    seen = ImageGrab.grab(xdisplay=screen)
    for _ in range(MOST_LOOKS):
        time.sleep(BETWEEN_LOOKS_S)
        before, seen = seen, ImageGrab.grab(xdisplay=screen)
        if before.tobytes() == seen.tobytes():
            break
    return seen
