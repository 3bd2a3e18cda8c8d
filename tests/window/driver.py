"""Runs inside a windowed Blender and plays one scenario with simulated mouse and keys.

Started as ``blender … --python driver.py -- scenario.py out_folder``. A scenario is a module with
a generator function ``scenario(driver)``; each ``yield`` (of nothing or of seconds) gives the
window time to handle events and redraw. What was found is written as JSON, then Blender quits.
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

MODULE = "bl_ext.user_default.flatwright"
TICK_S = 0.02
KEYS = {" ": "SPACE", ".": "PERIOD", "-": "MINUS", "_": "MINUS", "/": "SLASH"} | dict(
    zip("0123456789", "ZERO ONE TWO THREE FOUR FIVE SIX SEVEN EIGHT NINE".split(), strict=True)
)
IN_HEADER = {"look_at", "next_step", "bring_up_to_date"}
STAGES_OF = {
    "read_feature": "part",
    "remove_fit_series": "part",
    "show_joint": "joints",
    "show_remark": "check",
    "show_finding": "files",
    "decide_hidden": "files",
    "show_sheet_trouble": "sheet",
    "remove_reference": "bench",
}
"""Where the buttons are that no menu lists."""
Steps = Generator[float | None, None, Any]


class Driver:
    """Mouse, keys, pictures and findings. Places are window pixels from the lower left corner."""

    def __init__(self, out: Path) -> None:
        self.out = out
        self.checks: dict[str, Any] = {}
        self._shots = 0
        self._found_y = 10**6

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

    def move(self, x: float, y: float) -> Steps:
        """Move the mouse; two events, since Blender wakes a region with the first."""
        self.mouse = (int(x), int(y))
        self._event("MOUSEMOVE", "NOTHING", (self.mouse[0] - 1, self.mouse[1]))
        yield
        self._event("MOUSEMOVE", "NOTHING", self.mouse)
        yield

    def click(self, x: float, y: float, button: str = "LEFT", **modifiers: bool) -> Steps:
        yield from self.move(x, y)
        self._event(f"{button}MOUSE", "PRESS", self.mouse, **modifiers)
        yield 0.08
        self._event(f"{button}MOUSE", "RELEASE", self.mouse, **modifiers)
        yield 0.08

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
        yield 0.08

    def key(self, kind: str, **modifiers: bool) -> Steps:
        """Press and let go of a key, with ``ctrl=True`` and the like."""
        self._event(kind, "PRESS", self.mouse, **modifiers)
        yield
        self._event(kind, "RELEASE", self.mouse, **modifiers)
        yield 0.08

    @staticmethod
    def key_of(letter: str) -> str:
        """Blender's name of the key that writes a letter."""
        return KEYS.get(letter, letter.upper())

    def type_text(self, text: str) -> Steps:
        for letter in text:
            kind = self.key_of(letter)
            self._event(kind, "PRESS", self.mouse, unicode=letter)
            yield
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
            if looks % 4 == 0:
                self.redraw()
            looks += 1
            yield 0.1

    def shot(self, name: str) -> Steps:
        """Have the harness take a picture of the screen as people see it."""
        for _ in range(4):
            # Panels that grow are drawn in steps.
            self.redraw()
            yield 0.25
        self._shots += 1
        request = self.out / f"{self._shots:02d} {name}.request"
        request.write_text(name)
        yield from self.wait_until(lambda: not request.exists(), 20.0, f"The picture {name}")

    def redraw(self) -> None:
        for area in self.window.screen.areas:
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

    # The sidebar ---------------------------------------------------------------------------

    def open_sidebar(self) -> Steps:
        """Press N over the viewport, then click the tabs until Flatwright's is the open one."""
        window = self.region()
        yield from self.move(window.x + 300, window.y + 200)
        if not self.area.spaces.active.show_region_ui:
            yield from self.key("N")
        yield from self.wait_until(lambda: self.region("UI").width > 100, 5.0, "The sidebar")
        side = self.region("UI")
        for down in range(20, 500, 24):
            if side.active_panel_category == "Flatwright":
                return
            yield from self.click(side.x + side.width - 10, side.y + side.height - down)
            side = self.region("UI")
        raise TimeoutError("No tab of the sidebar is named Flatwright.")

    def open_stage(self, name: str) -> None:
        """Open a stage in the tab, as a click on its line does."""
        tab: Any = bpy.context.window_manager.flatwright_tab
        tab.stage = name
        self.redraw()

    def find_button(self, operator: str) -> Steps:
        """Return where an operator's button is: in the tab, its stage opened, or in the header."""
        name = operator.partition(".")[2]
        if name in IN_HEADER:
            return (yield from self.find_in_header(operator))
        menu: Any = importlib.import_module(f"{MODULE}.addon.guide.menu")
        stages = [stage for stage, names in menu.ACTIONS.items() if name in names]
        for stage in stages or [STAGES_OF[name]]:
            self.open_stage(stage)
        yield 0.3
        return (yield from self.find_copied(f"bpy.ops.{operator}(", 0.4, 0.75))

    def find_in_header(self, operator: str, holding: str = "") -> Steps:
        """Return where below the viewport's header an operator's button is, with such a value."""
        line, manager = self.region("TOOL_HEADER"), bpy.context.window_manager
        for x in range(line.x + 10, line.x + line.width, 20):
            manager.clipboard = ""
            yield from self.move(x, line.y + line.height // 2)
            yield from self.key("C", ctrl=True)
            found = manager.clipboard
            if found.startswith(f"bpy.ops.{operator}(") and holding in found:
                return (x, line.y + line.height // 2)
        raise TimeoutError(f"No button of the header is {operator}")

    def click_button(self, operator: str) -> Steps:
        """Find an operator's button in the sidebar and click it."""
        yield from self.click(*(yield from self.find_button(operator)))

    def find_copied(self, text: str, *across: float) -> Steps:
        """Return where in the sidebar Ctrl+C copies something that starts with ``text``.

        People can hover over a button or a number and press Ctrl+C to get its command or value;
        so does this, from the top down, at the shares ``across`` of the sidebar's width.
        """
        for page in range(12):
            at = yield from self._find_on_page(text, across)
            if at is not None:
                return at
            # Not in sight: turn the wheel, towards the top first, then page by page down.
            # At the left margin, for over a long list the wheel turns only the list.
            side = self.region("UI")
            yield from self.move(side.x + 4, side.y + side.height // 2)
            wheel = "WHEELUPMOUSE" if page == 0 else "WHEELDOWNMOUSE"
            for _ in range(60 if page == 0 else 8):
                self._event(wheel, "PRESS", self.mouse)
            yield 0.5
        raise TimeoutError(f"Nothing in the sidebar is copied as {text}")

    def _find_on_page(self, text: str, across: tuple[float, ...]) -> Steps:
        side = self.region("UI")
        manager = bpy.context.window_manager
        rows = list(range(side.y + side.height - 12, side.y + 8, -14))
        # The job runs from top to bottom, so the next button is likely below the last one.
        rows.sort(key=lambda y: (y > self._found_y + 60, -y))
        for y, share in ((y, share) for y in rows for share in across):
            manager.clipboard = ""
            x = side.x + side.width * share
            self.mouse = (int(x), int(y))
            for at in ((self.mouse[0] - 1, self.mouse[1]), self.mouse):
                self._event("MOUSEMOVE", "NOTHING", at)
            for value in ("PRESS", "RELEASE"):
                self._event("C", value, self.mouse, ctrl=True)
            yield
            if manager.clipboard.startswith(text):
                self._found_y = y
                return (x, y)
        return None


def play(driver: Driver, scenario: Callable[[Driver], Steps]) -> None:
    """Run a scenario a step at a time between redraws, then write findings and quit."""
    bpy.ops.preferences.addon_enable(module=MODULE)
    steps = scenario(driver)

    def tick() -> float | None:
        try:
            wait = next(steps)
        except StopIteration:
            leave(driver)
        except BaseException:
            leave(driver, traceback=traceback.format_exc())
        return wait or TICK_S

    bpy.app.timers.register(tick, first_interval=1.0, persistent=True)


def leave(driver: Driver, **more: Any) -> None:
    """Write what was found and end Blender at once."""
    driver.save(finished=not more, **more)
    sys.stdout.flush()
    os._exit(0 if not more else 1)


def main() -> None:
    """Load the scenario named on the command line."""
    sys.path.insert(0, str(Path(__file__).resolve().parent))
    scenario_path, out = (Path(a) for a in sys.argv[sys.argv.index("--") + 1 :][:2])
    driver = Driver(out)
    view = bpy.context.preferences.view
    view.show_splash, view.smooth_view = False, 0
    # Every redraw draws the viewport once, not once a sample: by software that takes long.
    bpy.context.preferences.system.viewport_aa = "OFF"
    try:
        spec = importlib.util.spec_from_file_location("scenario", scenario_path)
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        play(driver, module.scenario)
    except BaseException:
        leave(driver, traceback=traceback.format_exc())


main()
