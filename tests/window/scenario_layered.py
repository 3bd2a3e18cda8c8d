"""A ring of three sheets of 6 mm glued on each other, held in line by dowels, checked and saved."""

import bpy
import steps


def scenario(driver):
    steps.open_folds("placing")
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        bpy.context.scene.flatwright_stocks[0].thickness_mm = 6.0
        bpy.ops.ed.undo_push(message="Stock")
    view = driver.area.spaces.active.region_3d
    view.view_location, view.view_distance = (0.0, 0.0, 0.0), 0.6
    yield from ring(driver)
    yield from layers(driver)
    yield from check(driver)
    yield from steps.to_files(driver)


def ring(driver):
    yield from steps.add_by_menu(driver, "flat ring")
    driver.check("added", bpy.context.object.name)
    with driver.viewport():
        bpy.ops.ed.undo()
        bpy.ops.flatwright.add_ring(outer_mm=200.0, inner_mm=150.0)
        bpy.ops.ed.undo_push(message="Ring")
    yield from driver.click_button("flatwright.make_part")
    yield from driver.wait_until(steps.parts, 10.0, "The part")
    yield from driver.shot("ring")


def layers(driver):
    yield from driver.click_button("flatwright.layer_part")
    yield from driver.wait_until(lambda: len(steps.parts()) == 3, 20.0, "The layers")
    yield 0.4
    made = sorted(steps.parts(), key=lambda thing: thing.name)
    driver.check("names", [thing.name for thing in made])
    driver.check("levels", [round(1e3 * thing.location.z, 3) for thing in made])
    driver.check("loops", sorted({len(thing.data.splines) for thing in made}))
    yield from driver.shot("layers")


def check(driver):
    with driver.viewport():
        bpy.ops.mesh.primitive_cylinder_add(radius=0.073, depth=0.05)
        bpy.ops.flatwright.set_fixture()
    yield from driver.click_button("flatwright.check_assembly")
    settings = bpy.context.scene.flatwright_assembly
    yield from driver.wait_until(lambda: settings.checked, 30.0, "The check")
    yield 0.4
    driver.check("clear", bool(settings.is_clear))
    driver.check("gap", round(settings.least_gap_mm, 1))
    yield from driver.shot("checked")
