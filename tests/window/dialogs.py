"""Blender's File menu and its file browser, worked with the mouse and the keys."""

import bpy

ROW_PX = 21
"""Height of a menu's row at the interface's usual size."""
FILE_AT = (47, 13)
"""Where the word File is: from the window's left, and from its top."""
BELOW_PX = {"Import": 311, "Export": 332}
"""Where the rows of the File menu are, from the window's top, in Blender 4.3."""


_rows = {}
"""In which row of its submenu an operator was found before."""


def choose(driver, submenu, operator):
    """Open File, rest on Import or Export, find the operator's row as people read it, click it.

    Resting on a row and pressing Ctrl+C copies the row's command, which tells which one it is.
    """
    top = driver.window.height
    row = top - BELOW_PX[submenu]
    manager = bpy.context.window_manager
    yield from driver.click(FILE_AT[0], top - FILE_AT[1])
    yield 0.4
    yield from driver.move(80, row)
    # Blender opens a menu's menu after the mouse has rested on it.
    yield from driver.pause(0.6)
    known = [_rows[operator]] if operator in _rows else []
    for number in (*known, *range(25)):
        at = (330, row - ROW_PX * number)
        manager.clipboard = ""
        for x in (at[0] - 1, at[0]):
            send(driver.window, "MOUSEMOVE", "NOTHING", (x, at[1]))
        for value in ("PRESS", "RELEASE"):
            send(driver.window, "C", value, at, ctrl=True)
        yield 0.05
        if manager.clipboard.startswith(f"bpy.ops.{operator}("):
            if operator not in _rows:
                yield from driver.shot(f"{submenu} menu")
            _rows[operator] = number
            yield from driver.click(*at)
            yield from driver.wait_until(browser, 10.0, "The file browser")
            yield 0.5
            return
    raise TimeoutError(f"File ▸ {submenu} has no row for {operator}")


def browser():
    """The window with a file browser, and its area; None while there is none."""
    for window in bpy.context.window_manager.windows:
        for area in window.screen.areas:
            if area.type == "FILE_BROWSER":
                return window, area
    return None


def place_in(area, kind, x, y):
    region = next(r for r in area.regions if r.type == kind)
    return (int(region.x + x * region.width), int(region.y + y * region.height))


def send(window, kind, value, at, **more):
    window.event_simulate(type=kind, value=value, x=at[0], y=at[1], **more)


def press(window, kind, at, **more):
    send(window, kind, "PRESS", at, **more)
    yield
    if browser() is None:
        return  # it has closed its window, and an event sent there would end Blender
    more.pop("unicode", None)
    send(window, kind, "RELEASE", at, **more)
    yield 0.05


def click(window, at):
    for x in (at[0] - 1, at[0]):
        send(window, "MOUSEMOVE", "NOTHING", (x, at[1]))
        yield 0.05
    yield from press(window, "LEFTMOUSE", at)
    yield 0.2


def type_path(driver, path, picture=None):
    """Click into the browser's path, type another one, and press Enter."""
    window, area = browser()
    at = place_in(area, "UI", 0.35, 0.5)
    yield from click(window, at)
    yield from press(window, "A", at, ctrl=True)
    for number, letter in enumerate(str(path)):
        send(window, driver.key_of(letter), "PRESS", at, unicode=letter)
        send(window, driver.key_of(letter), "RELEASE", at)
        if number % 8 == 7:
            yield
    yield 0.1
    yield from press(window, "RET", at)
    yield 0.5
    if picture:
        yield from driver.shot(picture)


def confirm(driver):
    """Click the browser's button at the lower right, which does what was asked for."""
    window, area = browser()
    yield from click(window, place_in(area, "EXECUTE", 0.93, 0.5))
    yield from driver.wait_until(lambda: browser() is None, 10.0, "The browser's closing")
    yield 0.2


def give_up(driver):
    """Press Esc over the browser's list."""
    window, area = browser()
    at = place_in(area, "WINDOW", 0.5, 0.5)
    send(window, "MOUSEMOVE", "NOTHING", (at[0] - 1, at[1]))
    yield
    send(window, "MOUSEMOVE", "NOTHING", at)
    yield 0.1
    yield from press(window, "ESC", at)
    yield from driver.wait_until(lambda: browser() is None, 10.0, "The browser's closing")
    yield 0.2
