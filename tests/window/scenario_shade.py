"""A lamp shade of one sheet: a rectangle bent between two lines, laid out, checked and saved."""

import math

import bpy
import steps


def scenario(driver):
    steps.open_folds("marks")
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        bpy.ops.view3d.view_axis(type="TOP")
        bpy.ops.ed.undo_push(message="Stock")
    view = driver.area.spaces.active.region_3d
    view.view_location, view.view_distance = (0.0, 0.0, 0.0), 0.8
    driver.area.spaces.active.overlay.show_floor = False
    yield from sheet(driver)
    yield from lines(driver)
    yield from bend(driver)
    yield from steps.to_files(driver)


def sheet(driver):
    """A rectangle by the Add menu, in its size by the redo panel, made a part."""
    yield from steps.add_by_menu(driver, "rectangle")
    with driver.viewport():
        bpy.ops.ed.undo()
        bpy.ops.flatwright.add_rectangle(width_mm=340.0, height_mm=120.0)
        bpy.ops.ed.undo_push(message="Rectangle")
    yield from driver.click_button("flatwright.make_part")
    yield from driver.wait_until(steps.parts, 10.0, "The part")
    yield from driver.shot("sheet")


def lines(driver):
    """One line by the Add menu, the other its copy moved aside with the keys."""
    yield from steps.add_by_menu(driver, "line")
    driver.check("line", bpy.context.object.name)
    with driver.viewport():
        bpy.ops.ed.undo()
        bpy.ops.flatwright.add_line(length_mm=120.0, turn=math.pi / 2.0)
        bpy.ops.ed.undo_push(message="Line")
    region = driver.region()
    yield from driver.move(region.x + 500, region.y + 300)
    for keys, text in (("G", "-150"), ("D", "300")):
        yield from driver.key(keys, shift=keys == "D")
        yield from driver.key("X")
        yield from driver.type_text(text)
        yield from driver.key("RET")
        yield 0.3
    yield from driver.shot("lines")


def select_part_and_lines():
    (part,) = steps.parts()
    for thing in [o for o in bpy.data.objects if o.type == "CURVE" and not o.hide_get()]:
        thing.select_set(thing == part or "Line" in thing.name)
    bpy.context.view_layer.objects.active = part


def bend(driver):
    select_part_and_lines()
    yield from driver.click_button("flatwright.bend_between")
    yield 0.6
    driver.check("usual", driver.reports().strip().splitlines()[-1])
    with driver.viewport():
        bpy.ops.ed.undo()
        select_part_and_lines()
        bpy.ops.flatwright.bend_between(angle=math.radians(300.0))
        bpy.ops.ed.undo_push(message="Bend")
    yield 0.4
    (part,) = steps.parts()
    driver.check("slits", sum(len(child.data.splines) for child in part.children))
    yield from driver.shot("bent")
    with driver.viewport():
        bpy.ops.view3d.view_orbit(type="ORBITUP", angle=-0.9)
    view = driver.area.spaces.active.region_3d
    view.view_distance = 0.25
    yield from driver.shot("slits")
    with driver.viewport():
        bpy.ops.view3d.view_axis(type="TOP")
    view.view_distance = 0.8
