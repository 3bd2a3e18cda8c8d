"""Stretches of the job that several scenarios share."""

import json
import time
from importlib import import_module
from itertools import pairwise
from pathlib import Path

import bpy
import numpy as np
from bpy_extras.view3d_utils import location_3d_to_region_2d
from mathutils import Vector

MODULE = "bl_ext.user_default.flatwright"
DEMO = Path(__file__).resolve().parents[2] / "scripts" / "demo"
TRUTH = json.loads((DEMO / "truth.json").read_text())


def photo():
    """The photo object; found anew each time, for undo makes new ones."""
    return next(o for o in bpy.data.objects if o.flatwright_photo.is_photo)


def outlines():
    return [o for o in bpy.data.objects if o.flatwright_outline.is_outline]


def empty_scene(driver):
    """Delete the start-up scene's things with the keys people use."""
    view = driver.region()
    yield from driver.move(view.x + 300, view.y + 200)
    yield from driver.key("A")
    with driver.viewport():
        bpy.ops.object.delete()
    yield 0.2


def photos():
    return [thing for thing in bpy.data.objects if thing.flatwright_photo.is_photo]


def add_photo(driver, path=DEMO / TRUTH["photo"]):
    """Add a photo, the demo's if no other is named; only the file dialog is passed by."""
    count = len(photos())
    with driver.viewport():
        bpy.ops.flatwright.add_photo("INVOKE_DEFAULT", filepath=str(path))
    yield from driver.wait_until(lambda: len(photos()) > count, 60.0, f"Adding {path.name}")
    yield 0.3


def save_picture(pixels, path):
    """Write (H, W, 3) pixels of 0..255 as a PNG with Blender's own means."""
    height, width = pixels.shape[:2]
    image = bpy.data.images.new(path.stem, width, height)
    flat = np.ones((height, width, 4), dtype=np.float32)
    flat[..., :3] = pixels[::-1] / 255.0
    image.pixels.foreach_set(flat.ravel())
    image.filepath_raw, image.file_format = str(path), "PNG"
    image.save()
    bpy.data.images.remove(image)


def drop_file(driver, path, x, y):
    """Have the harness drop a file at a place of the window, as a file manager does."""
    driver.mouse = (int(x), int(y))
    request = driver.out / f"{path.stem}.drop"
    written = request.with_suffix(".writing")
    asked = {"path": str(path), "at": [int(x), int(driver.window.height - y)]}
    written.write_text(json.dumps(asked))
    written.rename(request)
    yield from driver.wait_until(lambda: not request.exists(), 30.0, f"The drop of {path.name}")


def type_thickness(driver, text):
    """Double-click the thickness in the sidebar and type it."""
    at = yield from driver.find_copied("5 mm", 0.7)
    yield from driver.double_click(*at)
    yield from driver.key("A", ctrl=True)
    yield from driver.type_text(text)
    yield from driver.key("RET")
    yield 0.2


class Redraws:
    """Counts how often the viewport is drawn, and the longest wait between two drawings."""

    def __enter__(self):
        self.times = [time.monotonic()]
        self.handle = bpy.types.SpaceView3D.draw_handler_add(
            lambda: self.times.append(time.monotonic()), (), "WINDOW", "POST_PIXEL"
        )
        return self

    def __exit__(self, *rest):
        bpy.types.SpaceView3D.draw_handler_remove(self.handle, "WINDOW")

    @property
    def count(self):
        return len(self.times) - 1

    @property
    def longest_wait_s(self):
        return max(b - a for a, b in pairwise(self.times))


def find_grid(driver):
    """Click Find Grid and wait for the bench."""
    yield from driver.click_button("flatwright.find_grid")
    with Redraws() as redraws:
        for _ in range(4):
            driver.redraw()
            yield from driver.pause(0.1)
        yield from driver.shot("finding grid")
        running = not photo().flatwright_bench.record
        yield from driver.wait_until(lambda: photo().flatwright_bench.record, 90.0, "The bench")
        yield 0.3
    driver.check("picture_taken_while_finding", running)
    driver.check("redraws_while_finding", redraws.count)
    driver.check("longest_wait_while_finding_s", redraws.longest_wait_s)


def outline_without_clicks(driver):
    """Photo, bench, outline and stock by the operators alone, for scenarios about what follows."""
    yield from empty_scene(driver)
    yield from add_photo(driver)
    photo().flatwright_bench.face_height_mm = TRUTH["mock_up_thickness_mm"]
    with driver.viewport():
        bpy.ops.flatwright.find_grid()
        bpy.ops.flatwright.trace_outline(inside_px=TRUTH["inside_px"])
        bpy.ops.flatwright.make_symmetric()
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    yield 0.3


def parts():
    return [o for o in bpy.data.objects if o.flatwright_part.is_part]


def look_down(driver):
    """Top view, framed on the photo, with the numeric keypad."""
    view = driver.region()
    yield from driver.move(view.x + 400, view.y + 300)
    yield from driver.key("NUMPAD_7")
    yield 0.5
    yield from driver.key("NUMPAD_PERIOD")
    yield 0.8


def window_place(driver, photo_px):
    """Where in the window a pixel of the photo is shown, through the bench and the view."""
    thing = photo()
    benches = import_module(f"{MODULE}.addon.bench.bench_record")
    bench = benches.read_bench(thing)
    ((x_mm, y_mm),) = bench.to_plane(
        [list(photo_px)], thing.flatwright_bench.straightened_height_mm
    )
    world = thing.matrix_world @ Vector((x_mm * 1e-3, y_mm * 1e-3, 0.0))
    region = driver.region()
    at = location_3d_to_region_2d(region, driver.area.spaces.active.region_3d, world)
    return (region.x + at.x, region.y + at.y)


def place_of_px(driver, photo_px, thing=None):
    """Where in the window a pixel of a photo, else the only one, is drawn, straightened or not."""
    picking = import_module(f"{MODULE}.addon.bench.photo_pixels")
    region = driver.region()
    view = driver.area.spaces.active.region_3d
    ((x, y),) = picking.region_places(region, view, thing or photo(), [list(photo_px)])
    return (round(region.x + x), round(region.y + y))


def seen_px(point_mm):
    """The photo's pixel where the demo's camera sees a place (x, y) mm of its mat."""
    x, y, depth = (
        sum(row[k] * (*point_mm, 0.0)[k] for k in range(3)) + shift
        for row, shift in zip(TRUTH["rotation"], TRUTH["translation_mm"], strict=True)
    )
    x, y = x / depth, y / depth
    squared = x**2 + y**2
    lens = TRUTH["focal_px"] * (1.0 + TRUTH["k1"] * squared + TRUTH["k2"] * squared**2)
    return (lens * x + TRUTH["center_px"][0], lens * y + TRUTH["center_px"][1])


def shown_px(px):
    """The pixel of the scene's photo, which may be a smaller copy, for one of the demo's own."""
    times = photo().flatwright_photo.width_px / TRUTH["size_px"][0]
    return tuple((c + 0.5) * times - 0.5 for c in px)


def drag_and_look(driver, start, end, name, *, let_go=True):
    """Press, drag, have a picture taken while the button is down, then let go or press Esc."""
    yield from driver.move(*start)
    driver._event("LEFTMOUSE", "PRESS", driver.mouse)
    yield 0.1
    for share in (0.25, 0.5, 0.75, 1.0):
        at = tuple(a + (b - a) * share for a, b in zip(start, end, strict=True))
        yield from driver.move(*at)
    yield from driver.shot(name)
    if let_go:
        driver._event("LEFTMOUSE", "RELEASE", driver.mouse)
        yield 0.1
    else:
        yield from driver.key("ESC")
        driver._event("LEFTMOUSE", "RELEASE", driver.mouse)
        yield 0.3


def open_folds(*names):
    """Have panels that start closed open; Blender keeps a panel as it was first."""
    for name in names:
        cls = getattr(bpy.types, f"FLATWRIGHT_PT_{name}")
        bpy.utils.unregister_class(cls)
        cls.bl_options = set()
        bpy.utils.register_class(cls)


def add_by_menu(driver, text):
    """Add something by Shift+A and its name, which an open menu looks for as it is typed."""
    region = driver.region()
    before = len(bpy.data.objects)
    yield from driver.move(region.x + 150, region.y + 200)
    yield from driver.key("A", shift=True)
    yield 0.6
    yield from driver.type_text(text)
    yield 0.6
    yield from driver.shot(f"menu {text}")
    yield from driver.key("RET")
    yield from driver.wait_until(lambda: len(bpy.data.objects) > before, 15.0, f"Adding {text}")
    yield 0.4


def to_files(driver):
    """Lay out with names on the parts, check before cutting and save, all by their buttons."""
    scene = bpy.context.scene
    scene.flatwright_layout.mark_names = True
    yield from driver.click_button("flatwright.lay_out")
    yield from driver.wait_until(
        lambda: any(o.flatwright_sheet.role == "SHEET" for o in bpy.data.objects), 30.0, "The sheet"
    )
    yield 0.4
    with driver.viewport():
        bpy.ops.view3d.view_axis(type="TOP")
        bpy.ops.view3d.view_all()
    yield from driver.shot("laid out")
    yield from driver.click_button("flatwright.check_readiness")
    yield from driver.wait_until(lambda: scene.flatwright_readiness.checked, 60.0, "The check")
    yield 0.3
    found = scene.flatwright_readiness.findings
    driver.check("stops", [one.sentence for one in found if one.severity == "stop"])
    driver.check("cautions", [one.sentence for one in found if one.severity != "stop"])
    yield from driver.shot("check before cutting")
    folder = Path(driver.out) / "cut files"
    with driver.viewport():
        folder.mkdir(exist_ok=True)
        bpy.ops.flatwright.save_cut_files("EXEC_DEFAULT", directory=str(folder))
    yield from driver.wait_until(lambda: any(folder.glob("*.dxf")), 60.0, "The files")
    yield 0.3
    driver.check("files", sorted(path.name for path in folder.iterdir()))
    yield from driver.shot("saved")
