"""From a photo to cut files as a newcomer goes: drop it, then the header's next step, on and on."""

import json
from importlib import import_module
from pathlib import Path

import bpy
import dialogs
import steps

LANGUAGES = ("en_US", "de_DE" if bpy.app.version < (5, 0) else "de")
BENCH = Path(__file__).resolve().parents[1] / "data" / "bench_photo"
TRUTH = json.loads((BENCH / "truth.json").read_text())


def scenario(driver):
    """The whole way in English, then anew in German."""
    clicks = Counting(driver)
    for language in LANGUAGES:
        yield 1.0
        bpy.context.preferences.view.language = language
        clicks.count = clicks.notches = 0
        yield from run(driver, language[:2], clicks)
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


def run(driver, language, clicks):
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    driver.check(f"{language} clicks to open the tab", clicks.count)
    folder = driver.out / f"cut {language}"
    folder.mkdir()
    kept = import_module(f"{steps.MODULE}.addon.state.last_folder").preferences()
    kept.folder, kept.last_saved = str(folder), ""
    view, places = driver.region(), []
    at = (view.x + view.width // 3, view.y + view.height // 2)
    yield from steps.drop_file(driver, BENCH / TRUTH["photo"], *at)
    # Blender has a use of its own for pictures and asks: the row under the mouse is ours.
    yield 0.8
    yield from driver.shot(f"{language} dropped")
    yield from driver.click(*at)
    yield from driver.wait_until(steps.photos, 30.0, "The photo")
    yield 0.5
    yield from driver.shot(f"{language} photo")
    # The header's first button stays where it is, whatever is done and selected.
    places.append((yield from driver.find_in_header("flatwright.look_at", "BENCH")))
    yield from steps.type_thickness(driver, f"{TRUTH['mock_up_thickness_mm']:g}")
    yield from following(driver)
    yield from driver.wait_until(
        lambda: steps.photos()[0].flatwright_bench.record, 90.0, "The scale"
    )
    yield 0.5
    yield from driver.shot(f"{language} true scale")
    yield from following(driver)
    yield from driver.click(*steps.window_place(driver, TRUTH["inside_px"]))
    yield from driver.wait_until(steps.outlines, 120.0, "The outline")
    yield 0.5
    yield from driver.shot(f"{language} outline")
    places.append((yield from driver.find_in_header("flatwright.look_at", "BENCH")))
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
    places.append((yield from driver.find_in_header("flatwright.look_at", "BENCH")))
    yield from following(driver)
    yield from driver.wait_until(dialogs.browser, 10.0, "The file browser")
    yield 0.5
    yield from driver.shot(f"{language} saving")
    yield from dialogs.confirm(driver)
    clicks.count += 1
    yield from driver.wait_until(lambda: list(folder.glob("*.dxf")), 60.0, "The DXF file")
    yield 1.0
    yield from driver.shot(f"{language} saved")
    driver.check(f"{language} files", sorted(path.suffix for path in folder.iterdir()))
    driver.check(f"{language} parts", [o.name for o in steps.parts()])
    driver.check(f"{language} first button at", places)
    driver.check(f"{language} area_mm2", area_mm2())


def area_mm2():
    """What the outline encloses, its holes filled."""
    curves = import_module(f"{steps.MODULE}.addon.blender.curves")
    return curves.read_profile(steps.outlines()[0].data).outer.signed_area_mm2


def following(driver):
    """Click the header's next step."""
    yield from driver.click(*(yield from driver.find_in_header("flatwright.next_step")))


def sheets():
    return [o for o in bpy.data.objects if o.flatwright_sheet.role == "SHEET"]
