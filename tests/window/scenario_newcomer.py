"""From a photo to cut files as a newcomer goes: the header's next step, over and over."""

import bpy
import dialogs
import steps

LANGUAGES = ("en_US", "de_DE" if bpy.app.version < (5, 0) else "de")


def scenario(driver):
    """The whole way in English, then anew in German."""
    clicks = Counting(driver)
    for language in LANGUAGES:
        yield 1.0
        bpy.context.preferences.view.language = language
        clicks.count = clicks.notches = 0
        yield from run(driver, language[:2])
        driver.check(f"{language[:2]} clicks", clicks.count)
        driver.check(f"{language[:2]} notches of the wheel", clicks.notches)
        bpy.ops.wm.read_homefile(use_factory_startup=True)
        bpy.ops.preferences.addon_enable(module=steps.MODULE)


class Counting:
    """Counts clicks and notches of the wheel that a scenario sends."""

    def __init__(self, driver):
        self.count = self.notches = 0
        self.send, driver._event = driver._event, self.event

    def event(self, kind, value, at, **more):
        """Send an event and count it."""
        self.count += (kind, value) == ("LEFTMOUSE", "PRESS")
        self.notches += kind.startswith("WHEEL")
        self.send(kind, value, at, **more)


def run(driver, language):
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    yield from following(driver)
    yield from driver.wait_until(dialogs.browser, 10.0, "The file browser")
    yield 0.5
    yield from dialogs.type_path(driver, steps.DEMO / steps.TRUTH["photo"])
    yield from dialogs.confirm(driver)
    yield from driver.wait_until(photos, 30.0, "The photo")
    yield 0.5
    yield from driver.shot(f"{language} photo")
    yield from following(driver)
    yield from driver.wait_until(lambda: photos()[0].flatwright_bench.record, 90.0, "The scale")
    yield 0.5
    yield from driver.shot(f"{language} true scale")
    yield from following(driver)
    yield from driver.click(*steps.window_place(driver, steps.TRUTH["inside_px"]))
    yield from driver.wait_until(steps.outlines, 90.0, "The outline")
    yield 0.5
    yield from driver.shot(f"{language} outline")
    yield from driver.click_button("flatwright.make_symmetric")
    yield from driver.wait_until(lambda: len(steps.outlines()) == 2, 60.0, "The symmetric outline")
    yield from following(driver)
    yield 0.5
    yield from driver.shot(f"{language} stock asked for")
    yield from driver.key("RET")
    yield from driver.wait_until(lambda: bpy.context.scene.flatwright_stocks, 10.0, "The stock")
    yield from following(driver)
    yield from driver.wait_until(steps.parts, 30.0, "The part")
    yield 1.0
    yield from driver.shot(f"{language} part")
    yield from following(driver)
    yield from driver.wait_until(sheets, 60.0, "The sheet")
    yield 0.5
    yield from driver.click(*(yield from driver.find_in_header("flatwright.look_at", "SHEET")))
    yield 0.5
    yield from driver.shot(f"{language} sheet")
    folder = driver.out / f"cut {language}"
    folder.mkdir()
    yield from following(driver)
    yield from driver.wait_until(dialogs.browser, 10.0, "The file browser")
    yield 0.5
    yield from dialogs.type_path(driver, folder)
    yield from dialogs.confirm(driver)
    yield from driver.wait_until(lambda: list(folder.glob("*.dxf")), 60.0, "The DXF file")
    yield 1.0
    yield from driver.shot(f"{language} saved")
    driver.check(f"{language} files", sorted(path.suffix for path in folder.iterdir()))
    driver.check(f"{language} parts", [o.name for o in steps.parts()])


def following(driver):
    """Click the header's next step."""
    yield from driver.click(*(yield from driver.find_in_header("flatwright.next_step")))


def photos():
    return [o for o in bpy.data.objects if o.flatwright_photo.is_photo]


def sheets():
    return [o for o in bpy.data.objects if o.flatwright_sheet.role == "SHEET"]
