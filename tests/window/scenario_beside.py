"""Do what takes long, and note on which thread the core computes it."""

import sys
import threading
from importlib import import_module
from itertools import pairwise

import bpy
import steps

HEAVY = {
    "geometry.photo": ("read_photo",),
    "geometry.photo.encode": ("encode_jpeg",),
    "geometry.outline.corrections.suggestions": ("suggest", "apply"),
    "geometry.assembly": ("find_axis", "fixture_circle"),
    "geometry.assembly.around": ("stand_around",),
    "geometry.assembly.joints.joinery": ("meeting_pairs",),
    "geometry.assembly.check": ("check_assembly",),
    "geometry.part": ("readiness",),
    "geometry.sheet": ("lay_out",),
    "geometry.files": ("check_job", "save_cut_files"),
}
"""What of the core may take longer than a tenth of a second."""


def scenario(driver):
    yield 1.0
    seen = watch()
    yield from driver.open_sidebar()
    yield from steps.empty_scene(driver)
    yield from steps.add_photo(driver)
    yield from outline(driver)
    yield from assembly(driver)
    yield from files(driver)
    driver.check("threads", {name: sorted(threads) for name, threads in seen.items()})


def watch():
    """Wrap what is heavy wherever it is used; return for each the threads it was called on."""
    seen = {}
    for room, names in HEAVY.items():
        for name in names:
            seen[name] = set()
            wrap(getattr(import_module(f"{steps.MODULE}.{room}"), name), seen[name])
    return seen


def wrap(function, threads):
    def call(*arguments, **more):
        at_window = threading.current_thread() is threading.main_thread()
        threads.add("window" if at_window else "beside")
        return function(*arguments, **more)

    for module in [m for name, m in sys.modules.items() if name.startswith(steps.MODULE)]:
        for name, value in list(vars(module).items()):
            if value is function:
                setattr(module, name, call)


def press(driver, name, **settings):
    """Start an operator as its button does and wait until its work has ended."""
    with driver.viewport():
        getattr(bpy.ops.flatwright, name)("INVOKE_DEFAULT", **settings)
    yield 0.1
    yield from driver.wait_until(lambda: not at_work(driver), 60.0, name)
    yield 0.2


def at_work(driver):
    return any(op.bl_idname.startswith("FLATWRIGHT") for op in driver.window.modal_operators)


def outline(driver):
    outlines = import_module(f"{steps.MODULE}.addon.outline.outline_objects")
    shapes = import_module(f"{steps.MODULE}.geometry.outline")
    corners = [(0.0, 0.0), (80.0, 0.1), (80.1, 60.0), (0.0, 60.0)]
    edges = [shapes.Line(a, b) for a, b in pairwise([*corners, corners[0]])]
    outlines.add_outline(bpy.context, "Rib outline", shapes.Profile(shapes.Loop(tuple(edges))))
    yield 0.3
    yield from press(driver, "suggest", doubt_mm=0.3)
    kept = bpy.context.object.flatwright_suggestions
    driver.check("suggested", len(kept.items))
    yield from press(driver, "accept_suggestion", index=-1)
    driver.check("left", len(bpy.context.object.flatwright_suggestions.items))
    yield from press(driver, "add_stock", kind="PLYWOOD")
    bpy.context.scene.flatwright_shows_paths = True
    yield from press(driver, "make_part")


def assembly(driver):
    rib = bpy.context.object
    with driver.viewport():
        bpy.ops.mesh.primitive_cylinder_add(vertices=64, radius=0.03, depth=0.2)
    yield from press(driver, "set_fixture")
    bpy.context.object.select_set(False)
    rib.select_set(True)
    bpy.context.view_layer.objects.active = rib
    with driver.viewport():
        bpy.ops.flatwright.stand_around("INVOKE_DEFAULT")
    yield 0.5
    yield from driver.key("RET")
    yield from driver.wait_until(lambda: len(steps.parts()) == 6, 30.0, "Standing six ribs")
    yield 0.5
    bpy.context.scene.cursor.location.z = 0.03
    with driver.viewport():
        bpy.ops.flatwright.ring_around_fixture("INVOKE_DEFAULT")
    yield 0.5
    yield from driver.key("RET")
    yield from driver.wait_until(lambda: len(steps.parts()) == 7, 30.0, "The ring")
    yield 0.5
    for thing in list(bpy.context.selected_objects):
        thing.select_set(False)
    yield from press(driver, "join_parts")
    settings = bpy.context.scene.flatwright_assembly
    driver.check("joints", len(settings.joints))
    yield from press(driver, "check_assembly")
    driver.check("checked", settings.checked)
    yield from driver.key("Z", ctrl=True)
    yield 1.0
    driver.check("checked_after_undo", bpy.context.scene.flatwright_assembly.checked)
    driver.check("joints_after_undo", len(bpy.context.scene.flatwright_assembly.joints))


def files(driver):
    yield from press(driver, "lay_out")
    folder = driver.out / "cut"
    folder.mkdir()
    bpy.context.preferences.view.filebrowser_display_type = "SCREEN"
    with driver.viewport():
        bpy.ops.flatwright.save_cut_files("INVOKE_DEFAULT", anyway=True)
    yield from driver.wait_until(browser, 10.0, "The file browser")
    yield 0.5
    browser().spaces.active.params.directory = str(folder).encode()
    region = next(r for r in browser().regions if r.type == "WINDOW")
    with bpy.context.temp_override(window=driver.window, area=browser(), region=region):
        bpy.ops.file.execute()
    yield from driver.wait_until(lambda: list(folder.glob("*.dxf")), 60.0, "The DXF file")
    yield 1.0
    driver.check("files", sorted(path.suffix for path in folder.iterdir()))
    yield from driver.shot("saved")


def browser():
    screen = bpy.context.window_manager.windows[0].screen
    return next((area for area in screen.areas if area.type == "FILE_BROWSER"), None)
