"""Two photos of one mat joined; a bench printed, kept, and chosen for a photo of it."""

import sys
import tempfile
from importlib import import_module
from pathlib import Path

import bpy
import dialogs
import numpy as np
import steps

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

HEIGHT_MM = 0.5
PRINT_SIZE = (1344, 1008)
MEASURED_MM = (271.9, 180.0)
"""Lengths of the printed bench's two lines: the paper came out 0.7 % longer along the feed."""
ROW_PX = 26
"""How far the panel's next row is below."""


def photos_of_mat(folder):
    """Write two photos of a mock-up that is longer than either; return their paths."""
    from tests.core.long_mockup import LEFT, RIGHT, photographed

    paths = [folder / "left.png", folder / "right.png"]
    for path, camera in zip(paths, (LEFT, RIGHT), strict=True):
        steps.save_picture(photographed(camera, height_mm=HEIGHT_MM, finer=1).pixels, path)
    return paths


def photo_of_print(path):
    """Write a photo of the printed bench, its paper as much longer as measured; return the camera.

    The sheet is drawn as people see it printed: squares of 10 mm, dots of 4 mm along the border.
    """
    from geometry.bench import BENCH_PAPERS, ring_bits, ring_cells
    from tests.core.mat_pictures import look

    printed = BENCH_PAPERS["A4"]
    view = look(PRINT_SIZE, 26.0, 10.0, 60.0, 4.0, 330.0, (135.0, 90.0))
    cells = ring_cells(printed)
    has_dot = np.zeros((printed.columns, printed.rows), dtype=bool)
    has_dot[tuple(cells.T)] = ring_bits(len(cells))
    light = np.zeros(PRINT_SIZE[::-1])
    for dx, dy in ((-0.25, -0.25), (-0.25, 0.25), (0.25, -0.25), (0.25, 0.25)):
        x, y = np.meshgrid(np.arange(PRINT_SIZE[0]) + dx, np.arange(PRINT_SIZE[1]) + dy)
        places = view.places(np.column_stack((x.ravel(), y.ravel())))
        at = places * printed.lines_mm / np.array(MEASURED_MM)
        light += sheet_light(at, np.array(printed.lines_mm), has_dot).reshape(light.shape) / 4.0
    light += np.random.default_rng(3).normal(0.0, 2.0, light.shape)
    steps.save_picture(np.repeat(np.clip(light, 0.0, 255.0)[..., None], 3, axis=2), path)
    return view


def sheet_light(at, size, has_dot):
    """Light 0..255 at places (N, 2) mm from the lower left of the printed squares."""
    light = np.where(((at > -13.0) & (at < size + 13.0)).all(axis=1), 225.0, 70.0)
    off = np.abs(at - 10.0 * np.round(at / 10.0))
    in_grid = ((at > -0.2) & (at < size + 0.2)).all(axis=1)
    light[in_grid & (off < 0.15).any(axis=1)] = 95.0
    cell = np.clip(np.floor(at / 10.0).astype(int), 0, np.array(has_dot.shape) - 1)
    near = np.hypot(*(at - 10.0 * cell - 5.0).T) < 2.0
    light[near & has_dot[tuple(cell.T)]] = 20.0
    return light


def find_grid(driver, name):
    thing = bpy.data.objects[name]
    yield from driver.click_button("flatwright.find_grid")
    yield from driver.wait_until(lambda: thing.flatwright_bench.record, 90.0, f"Scale of {name}")
    yield 0.5


def join(driver, folder):
    for path in photos_of_mat(folder):
        yield from steps.add_photo(driver, path)
        bpy.context.object.flatwright_bench.face_height_mm = HEIGHT_MM
        yield from find_grid(driver, path.stem)
        yield from driver.shot(f"scale of {path.stem}")
    view = driver.region()
    yield from driver.move(view.x + 300, view.y + 200)
    yield from driver.key("A")
    yield 0.3
    yield from driver.find_button("flatwright.join_photos")
    yield from driver.shot("both selected")
    yield from driver.click_button("flatwright.join_photos")
    yield from driver.wait_until(lambda: len(steps.photos()) == 3, 90.0, "Joining")
    yield 0.5
    yield from driver.find_button("flatwright.join_photos")
    yield from driver.shot("joined")
    joined = bpy.context.object
    driver.check("joined", joined.name)
    driver.check("joined_px", joined.flatwright_photo.width_px)
    driver.check("shown", [thing.name for thing in steps.photos() if thing.visible_get()])


def print_bench(driver, folder):
    yield from driver.click_button("flatwright.print_bench")
    yield from driver.wait_until(dialogs.browser, 10.0, "The file browser")
    yield 0.5
    yield from dialogs.type_path(driver, folder, "print bench")
    yield from dialogs.confirm(driver)
    yield from driver.wait_until((folder / "bench.pdf").exists, 10.0, "The PDF")
    yield from driver.shot("printed")
    driver.check("printed", (folder / "bench.pdf").read_bytes()[:4].decode())


def keep_bench(driver):
    """Type both lengths into the dialog and press Enter twice: in the field, then on OK."""
    view = driver.region()
    yield from driver.move(view.x + 500, view.y + 400)
    with driver.viewport():
        bpy.ops.flatwright.keep_bench("INVOKE_DEFAULT")
    yield 0.5
    yield from driver.shot("keep bench asks")
    yield from driver.double_click(*(yield from first_length(driver)))
    for typed, key in zip(MEASURED_MM, ("TAB", "RET"), strict=True):
        yield from driver.key("A", ctrl=True)
        yield from driver.type_text(str(typed))
        yield from driver.key(key)
        yield 0.2
    yield from driver.shot("lengths typed")
    yield from driver.key("RET")
    yield 0.5
    yield from driver.shot("bench kept")
    shelf = bpy.context.preferences.addons[steps.MODULE].preferences.benches
    driver.check("kept", [(one.name, one.paper, one.along_mm, one.up_mm) for one in shelf])


def first_length(driver):
    """Where below the mouse the dialog's first length is: Ctrl+C copies it."""
    x, top = driver.mouse
    manager = bpy.context.window_manager
    for y in range(top + 40, top - 120, -8):
        manager.clipboard = ""
        yield from driver.move(x - 60, y)
        yield from driver.key("C", ctrl=True)
        if manager.clipboard.startswith("0 mm"):
            return (x - 60, y)
    raise TimeoutError("The dialog has no length")


def choose_bench(driver, folder):
    """Choose the kept bench for a photo of the print, find its scale, and measure it."""
    view = photo_of_print(folder / "print.png")
    yield from steps.add_photo(driver, folder / "print.png")
    thing = bpy.context.object
    thing.flatwright_photo.focal_35mm = view.focal_35mm
    driver.open_stage("bench")
    x, y = yield from driver.find_copied("10 mm", 0.7)
    yield from driver.click(x, y - ROW_PX)
    yield 0.5
    yield from driver.type_text("bench")
    yield 0.3
    yield from driver.shot("benches")
    yield from driver.key("RET")
    yield 0.3
    driver.check("chosen", thing.flatwright_bench.mat)
    yield from find_grid(driver, thing.name)
    yield from driver.shot("scale of the print")
    bench = import_module(f"{steps.MODULE}.addon.bench.bench_record").read_bench(thing)
    ends = np.array([(70.0, 90.0), (210.0, 90.0), (140.0, 20.0), (140.0, 160.0)])
    a, b, c, d = bench.to_plane(view.project(ends))
    driver.check("left_mm", {o.name: 1e3 * o.matrix_world.translation.x for o in steps.photos()})
    driver.check("lengths_mm", [float(np.hypot(*(b - a))), float(np.hypot(*(d - c)))])


def scenario(driver):
    yield 1.0
    with driver.viewport():
        bpy.ops.screen.screen_full_area()
    yield 0.5
    yield from driver.open_sidebar()
    yield from steps.empty_scene(driver)
    steps.open_folds("bench_details")
    folder = Path(tempfile.mkdtemp())
    yield from join(driver, folder)
    yield from print_bench(driver, folder)
    yield from keep_bench(driver)
    yield from choose_bench(driver, folder)
