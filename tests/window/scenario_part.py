"""Thickness that parts follow, a fit series, a kerf test; each undone; saved and reopened."""

from importlib import import_module
from pathlib import Path

import bpy
import steps


def scene():
    return bpy.context.scene


def stock():
    return scene().flatwright_stocks[0]


def trials():
    found = [o for o in steps.parts() if o.flatwright_part.trial]
    return sorted(found, key=lambda o: o.flatwright_part.trial_mm)


def extrude_mm():
    return round(bpy.data.objects["Plate"].data.extrude * 2e3, 4)


def scenario(driver):
    yield 1.0
    yield from steps.empty_scene(driver)
    open_below()
    yield from driver.open_sidebar()
    plate(driver)
    yield 1.0
    yield from driver.shot("plate")
    yield from thickness(driver)
    yield from series(driver)
    yield from kerf(driver)
    yield from reopen(driver)


def plate(driver):
    outlines = import_module(f"{steps.MODULE}.addon.outline.outline_objects")
    shapes = import_module(f"{steps.MODULE}.geometry.outline")
    profile = shapes.subtract(shapes.rectangle(60.0, 40.0), shapes.rectangle(2.9, 20.0, (0, 20.0)))
    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        outline = outlines.add_outline(bpy.context, "Plate outline", profile)
        bpy.ops.flatwright.make_part()
        bpy.context.object.name = "Plate"
        outline.hide_set(True)
        bpy.ops.view3d.view_axis(type="TOP")
        # What a script does is no step of undo by itself.
        bpy.ops.ed.undo_push(message="Plate")
    view = driver.area.spaces.active
    view.overlay.show_floor = False
    view.region_3d.view_location, view.region_3d.view_distance = (0.03, 0.0, 0.0), 0.14


def type_number(driver, shown, text):
    at = yield from driver.find_copied(shown, 0.7)
    yield from driver.double_click(*at)
    yield from driver.key("A", ctrl=True)
    yield from driver.type_text(text)
    yield from driver.key("RET")
    yield 0.4


def undo(driver):
    view = driver.region()
    yield from driver.move(view.x + 80, view.y + 80)
    yield from driver.key("Z", ctrl=True)
    yield 0.4


def thickness(driver):
    driver.open_stage("part")
    yield from type_number(driver, "3 mm", "2.7")
    driver.check("thickness", (round(stock().thickness_mm, 4), extrude_mm()))
    driver.check("measured", sorted(stock().measured))
    yield from driver.shot("thickness")
    yield from undo(driver)
    driver.check("thickness undone", (round(stock().thickness_mm, 4), extrude_mm()))
    yield from driver.key("Z", ctrl=True, shift=True)
    yield 0.4
    driver.check("thickness again", (round(stock().thickness_mm, 4), extrude_mm()))


def open_below():
    """Have the panels below Part open from the start; Blender keeps a panel as it was first."""
    classes = [
        getattr(bpy.types, f"FLATWRIGHT_PT_{name}")
        for name in ("iso_fit", "fit_series", "kerf_test", "test_pieces")
    ]
    for cls in classes:
        bpy.utils.unregister_class(cls)
    for cls in reversed(classes):
        cls.bl_options = set() if cls is not classes[0] else {"DEFAULT_CLOSED"}
        bpy.utils.register_class(cls)


def series(driver):
    settings = scene().flatwright_fit_series
    settings.first_mm, settings.last_mm, settings.step_mm = 2.6, 3.0, 0.1
    with driver.viewport():
        bpy.ops.ed.undo_push(message="Range")
    yield from driver.click_button("flatwright.make_fit_series")
    yield 0.5
    places = [o.matrix_world.translation for o in trials()]
    driver.check("beside", all(0.03 < p.x < 0.3 and abs(p.y) < 0.1 for p in places))
    driver.check("series", [round(o.flatwright_part.trial_mm, 3) for o in trials()])
    view = driver.area.spaces.active.region_3d
    view.view_location, view.view_distance = (0.11, 0.0, 0.0), 0.3
    piece = trials()[3]
    for thing in bpy.context.selected_objects:
        thing.select_set(False)
    piece.select_set(True)
    bpy.context.view_layer.objects.active = piece
    yield 0.5
    yield from driver.shot("series")
    yield from driver.click_button("flatwright.this_one_fitted")
    yield 0.4
    driver.check("learned", round(stock().sliding_mm, 4))
    yield from driver.shot("fitted")
    yield from undo(driver)
    driver.check("learned undone", round(stock().sliding_mm, 4))
    driver.check("series kept", len(trials()))


def kerf(driver):
    with driver.viewport():
        bpy.ops.flatwright.save_kerf_test(directory=str(driver.out))
    driver.check("test piece", sorted(path.name for path in Path(driver.out).glob("Kerf*")))
    scene().flatwright_kerf_test.gap_mm = 1.98
    with driver.viewport():
        bpy.ops.ed.undo_push(message="Gap")
    yield from driver.click_button("flatwright.keep_kerf")
    yield 0.4
    driver.check("kerf", (round(stock().kerf_mm, 4), round(stock().kerf_doubt_mm, 4)))
    yield from driver.shot("kerf")
    yield from undo(driver)
    driver.check("kerf undone", round(stock().kerf_mm, 4))
    yield from driver.key("Z", ctrl=True, shift=True)
    yield 0.4


def reopen(driver):
    path = str(Path(driver.out) / "part.blend")
    with driver.viewport():
        bpy.ops.wm.save_as_mainfile(filepath=path)
        bpy.ops.wm.open_mainfile(filepath=path)
    yield 1.0
    driver.check(
        "reopened",
        (round(stock().thickness_mm, 4), round(stock().kerf_mm, 4), extrude_mm(), len(trials())),
    )
