"""Finds buttons and numbers of the sidebar and of the viewport's header as people do."""

import importlib
from collections.abc import Generator
from typing import Any, ClassVar

import bpy
from pace import MODULE

__all__ = ["Sidebar"]

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
Place = tuple[int, int]
NOTE_KEY = "F20"


class NoteCopied(bpy.types.Operator):
    """Note what the clipboard holds, between two events that Blender handles one after the other.

    A drawing after each place that is looked at would take by far the longest.
    """

    bl_idname = "wm.flatwright_note_copied"
    bl_label = "Note What Was Copied"
    noted: ClassVar[list[str]] = []

    def execute(self, context: bpy.types.Context) -> set[str]:
        self.noted.append(context.window_manager.clipboard)
        context.window_manager.clipboard = ""
        return {"CANCELLED"}


def listen() -> None:
    """Bind noting to a key that no keyboard has; a start-up file read anew may have undone it.

    Where there is no button Ctrl+C would copy what is selected: a file written, photos and all.
    """
    if not hasattr(bpy.types, "WM_OT_flatwright_note_copied"):
        bpy.utils.register_class(NoteCopied)
    keymap = bpy.context.window_manager.keyconfigs.addon.keymaps.new("Window")
    if all(item.idname != NoteCopied.bl_idname for item in keymap.keymap_items):
        keymap.keymap_items.new(NoteCopied.bl_idname, NOTE_KEY, "PRESS")
    for item in bpy.context.window_manager.keyconfigs.user.keymaps["3D View"].keymap_items:
        if item.idname == "view3d.copybuffer":
            item.active = False


class Sidebar:
    """The part of a driver that opens the tab and its stages and looks for what is in them."""

    _found_y = 10**6

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
        line = self.region("TOOL_HEADER")
        y = line.y + line.height // 2
        places = [(x, y) for x in range(line.x + 10, line.x + line.width, 20)]
        for at, found in zip(places, (yield from self.copied(places)), strict=True):
            if found.startswith(f"bpy.ops.{operator}(") and holding in found:
                return at
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
        # Every button is 20 px high.
        rows = list(range(side.y + side.height - 12, side.y + 8, -18))
        # The job runs from top to bottom, so the next button is likely below the last one.
        rows.sort(key=lambda y: (y > self._found_y + 60, -y))
        for share in across:
            places = [(int(side.x + side.width * share), y) for y in rows]
            for at, found in zip(places, (yield from self.copied(places)), strict=True):
                if found.startswith(text):
                    self._found_y = at[1]
                    return at
        return None

    def copied(self, places: list[Place]) -> Steps:
        """Return what Ctrl+C copies at each place when the mouse rests there."""
        listen()
        yield
        NoteCopied.noted.clear()
        bpy.context.window_manager.clipboard = ""
        for self.mouse in places:
            self._move()
            self._press("C", ctrl=True)
            self._press(NOTE_KEY)
        yield from self.wait_until(
            lambda: len(NoteCopied.noted) == len(places), 10.0, "Copying from every place"
        )
        return list(NoteCopied.noted)
