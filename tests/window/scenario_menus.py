"""Photo and outlines by File ▸ Import, cut files by File ▸ Export, all with mouse and keys."""

from importlib import import_module

import bpy
import dialogs
import steps

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">'
    '<path d="M 0 0 H 80 V 60 H 0 Z"/><circle cx="40" cy="30" r="12"/></svg>'
)


def cube():
    return bpy.data.objects["Cube"]


def sizes():
    """Shorter and longer side and holes of every outline."""
    curves = import_module(f"{steps.MODULE}.addon.blender.curves")
    found = []
    for thing in steps.outlines():
        profile = curves.read_profile(thing.data)
        x0, y0, x1, y1 = profile.bounds_mm
        # Pieces may be turned on the sheet.
        short, long = sorted((round(x1 - x0, 2), round(y1 - y0, 2)))
        found.append([short, long, len(profile.holes)])
    return sorted(found)


def names():
    return sorted(o.name for o in bpy.data.objects)


def scenario(driver):
    """From the start-up scene as it is, cube and all."""
    yield 1.0
    yield from photo(driver)
    yield from outlines(driver)
    yield from cut_files(driver)


def photo(driver):
    before = names()
    yield from dialogs.choose(driver, "Import", "flatwright.add_photo")
    yield from dialogs.give_up(driver)
    driver.check("esc in the browser", names() == before)
    yield from dialogs.choose(driver, "Import", "flatwright.add_photo")
    yield from dialogs.type_path(driver, steps.DEMO / steps.TRUTH["photo"], "path typed")
    yield from dialogs.confirm(driver)
    yield from driver.wait_until(lambda: len(names()) > len(before), 30.0, "The photo")
    yield 0.5
    driver.check("photo", [steps.photo().flatwright_photo.file_name, cube().visible_get()])
    driver.check("said of the cube", driver.reports().strip().splitlines()[-1])
    yield from driver.shot("photo over the start-up cube")
    view = driver.region()
    yield from driver.move(view.x + 90, view.y + 90)
    yield from driver.key("Z", ctrl=True)
    yield 0.5
    driver.check("photo undone", [names() == before, cube().visible_get()])


def outlines(driver):
    yield from steps.empty_scene(driver)
    path = driver.out / "plate.svg"
    path.write_text(SVG)
    yield from dialogs.choose(driver, "Import", "flatwright.import_outline")
    yield from dialogs.type_path(driver, path)
    yield from dialogs.confirm(driver)
    yield from driver.wait_until(steps.outlines, 20.0, "The outline")
    driver.check("svg", sizes())


def cut_files(driver):
    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        bpy.context.scene.flatwright_stocks[0].kerf_mm = 0.0
        bpy.ops.flatwright.make_part()
        bpy.ops.flatwright.lay_out()
    yield 0.5
    folder = driver.out / "cut"
    folder.mkdir()
    yield from dialogs.choose(driver, "Export", "flatwright.save_cut_files")
    yield from dialogs.type_path(driver, f"{folder}/", "folder typed")
    yield from dialogs.confirm(driver)
    yield from driver.wait_until(lambda: list(folder.glob("*.dxf")), 30.0, "The DXF file")
    yield 0.5
    (dxf,) = folder.glob("*.dxf")
    driver.check("saved", sorted(p.suffix for p in folder.iterdir()))
    before = len(steps.outlines())
    yield from dialogs.choose(driver, "Import", "flatwright.import_outline")
    yield from dialogs.type_path(driver, dxf)
    yield from dialogs.confirm(driver)
    yield from driver.wait_until(lambda: len(steps.outlines()) > before, 20.0, "The DXF outline")
    yield 0.4
    driver.check("dxf", sizes())
    yield from driver.shot("read back")
