"""Runs inside a windowed Blender and plays one scenario with simulated mouse and keys.

Started as ``blender … --python driver.py -- scenario.py out_folder``. A scenario is a module with
a generator function ``scenario(driver)``; each ``yield`` gives the window time to handle events
and redraw: of nothing, one round of them; of seconds, until the extension is at rest, that long at
most. What was found is written as JSON, then Blender quits.
"""

import contextlib
import importlib.util
import json
import os
import sys
import time
import traceback
from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from typing import Any

import bpy

sys.path.insert(0, str(Path(__file__).resolve().parent))

from pace import MODULE, Pace, a_moment
from sidebar import Sidebar

KEYS = {" ": "SPACE", ".": "PERIOD", "-": "MINUS", "_": "MINUS", "/": "SLASH"} | dict(
    zip("0123456789", "ZERO ONE TWO THREE FOUR FIVE SIX SEVEN EIGHT NINE".split(), strict=True)
)
Steps = Generator[float | None, None, Any]


class Driver(Sidebar):
    """Mouse, keys, pictures and findings. Places are window pixels from the lower left corner."""

    def __init__(self, out: Path) -> None:
        self.out = out
        self.checks: dict[str, Any] = {}
        self._shots = 0

    # What there is in the window -----------------------------------------------------------

    @property
    def window(self) -> bpy.types.Window:
        return bpy.context.window_manager.windows[0]

    @property
    def area(self) -> bpy.types.Area:
        return next(a for a in self.window.screen.areas if a.type == "VIEW_3D")

    def region(self, kind: str = "WINDOW") -> bpy.types.Region:
        return next(r for r in self.area.regions if r.type == kind)

    @contextlib.contextmanager
    def viewport(self, kind: str = "WINDOW") -> Iterator[None]:
        """Call operators as if the mouse were over the 3D viewport."""
        with bpy.context.temp_override(
            window=self.window, area=self.area, region=self.region(kind)
        ):
            yield

    # Mouse and keys ------------------------------------------------------------------------

    def _event(self, kind: str, value: str, at: tuple[int, int], **more: Any) -> None:
        self.window.event_simulate(type=kind, value=value, x=at[0], y=at[1], **more)

    def _move(self) -> None:
        """Two events, since Blender wakes a region with the first."""
        for at in ((self.mouse[0] - 1, self.mouse[1]), self.mouse):
            self._event("MOUSEMOVE", "NOTHING", at)

    def move(self, x: float, y: float) -> Steps:
        """Move the mouse."""
        self.mouse = (int(x), int(y))
        self._move()
        yield

    def click(self, x: float, y: float, button: str = "LEFT", **modifiers: bool) -> Steps:
        yield from self.move(x, y)
        self._event(f"{button}MOUSE", "PRESS", self.mouse, **modifiers)
        yield
        self._event(f"{button}MOUSE", "RELEASE", self.mouse, **modifiers)
        yield

    def double_click(self, x: float, y: float) -> Steps:
        yield from self.click(x, y)
        yield from self.click(x, y)

    def drag(self, start: tuple[float, float], end: tuple[float, float], steps: int = 8) -> Steps:
        yield from self.move(*start)
        self._event("LEFTMOUSE", "PRESS", self.mouse)
        yield
        for i in range(1, steps + 1):
            t = i / steps
            at = tuple(int(a + (b - a) * t) for a, b in zip(start, end, strict=True))
            self._event("MOUSEMOVE", "NOTHING", at)
            yield
        self.mouse = at
        self._event("LEFTMOUSE", "RELEASE", at)
        yield

    def key(self, kind: str, **modifiers: bool) -> Steps:
        """Press and let go of a key, with ``ctrl=True`` and the like."""
        self._press(kind, **modifiers)
        yield

    def _press(self, kind: str, **modifiers: bool) -> None:
        for value in ("PRESS", "RELEASE"):
            self._event(kind, value, self.mouse, **modifiers)

    @staticmethod
    def key_of(letter: str) -> str:
        """Blender's name of the key that writes a letter."""
        return KEYS.get(letter, letter.upper())

    def type_text(self, text: str) -> Steps:
        for letter in text:
            kind = self.key_of(letter)
            self._event(kind, "PRESS", self.mouse, unicode=letter)
            self._event(kind, "RELEASE", self.mouse)
            yield

    # Waiting, looking, noting --------------------------------------------------------------

    def wait_until(self, predicate: Callable[[], Any], seconds: float, what: str = "") -> Steps:
        """Let the window work until ``predicate`` holds.

        Raises
        ------
        TimeoutError
            If it does not hold in time.
        """
        end, looks = time.monotonic() + seconds, 0
        while not predicate():
            if time.monotonic() > end:
                raise TimeoutError(f"{what or 'It'} did not happen within {seconds} s.")
            # Drawn by software, a window takes longer to draw than to look at.
            if looks % 20 == 0:
                self.redraw()
            looks += 1
            yield from self.pause(0.02)

    @staticmethod
    def pause(seconds: float) -> Steps:
        """Let so much time go by, whether anything happens or not."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            a_moment()
            yield

    def shot(self, name: str) -> Steps:
        """Have the harness take a picture of the screen as people see it, once it is at rest."""
        # Panels that grow are drawn in steps.
        self.redraw()
        yield
        self.redraw()
        yield 1.0
        self._shots += 1
        request = self.out / f"{self._shots:02d} {name}.request"
        request.write_text(name)
        end = time.monotonic() + 20.0
        while request.exists():
            if time.monotonic() > end:
                raise TimeoutError(f"The picture {name} was not taken.")
            yield from self.pause(0.01)

    def redraw(self) -> None:
        """Have the viewport and its sidebar drawn; the other areas look after themselves."""
        for area in self.window.screen.areas:
            # There is none while a file browser fills the window.
            if area.type == "VIEW_3D":
                area.tag_redraw()

    def check(self, name: str, value: Any) -> None:
        """Note a finding for the test to assert."""
        self.checks[name] = value
        self.save()

    def save(self, **more: Any) -> None:
        findings = {"checks": self.checks, **more}
        (self.out / "findings.json").write_text(json.dumps(findings, indent=1, default=str))

    def reports(self) -> str:
        """Everything Blender's Info editor lists by now."""
        area = next(a for a in self.window.screen.areas if a.type != "VIEW_3D")
        before = area.type
        area.type = "INFO"
        region = next(r for r in area.regions if r.type == "WINDOW")
        area.spaces.active.show_report_info = True
        with bpy.context.temp_override(window=self.window, area=area, region=region):
            bpy.ops.info.select_all(action="SELECT")
            bpy.ops.info.report_copy()
        area.type = before
        return bpy.context.window_manager.clipboard


def play(driver: Driver, scenario: Callable[[Driver], Steps]) -> None:
    """Run a scenario a step at a time between redraws, then write findings and quit."""
    bpy.ops.preferences.addon_enable(module=MODULE)
    steps = scenario(driver)

    pace = Pace()

    def tick() -> float:
        if not pace.is_over():
            a_moment()
            return 0.0
        try:
            pace.wait(next(steps))
        except StopIteration:
            leave(driver)
        except BaseException:
            leave(driver, traceback=traceback.format_exc())
        return 0.0

    bpy.app.timers.register(tick, persistent=True)


def leave(driver: Driver, **more: Any) -> None:
    """Write what was found and end Blender at once."""
    driver.save(finished=not more, **more)
    sys.stdout.flush()
    os._exit(0 if not more else 1)


def main() -> None:
    """Load the scenario named on the command line."""
    scenario_path, out = (Path(a) for a in sys.argv[sys.argv.index("--") + 1 :][:2])
    driver = Driver(out)
    view = bpy.context.preferences.view
    view.show_splash, view.smooth_view = False, 0
    # Every redraw draws the viewport once, not once a sample or to smooth its lines: by software
    # that takes long.
    drawing = bpy.context.preferences.system
    drawing.viewport_aa, drawing.use_overlay_smooth_wire = "OFF", False
    try:
        spec = importlib.util.spec_from_file_location("scenario", scenario_path)
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        play(driver, module.scenario)
    except BaseException:
        leave(driver, traceback=traceback.format_exc())


main()
