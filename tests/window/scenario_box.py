"""Add a box with a lid by Add ▸ Flatwright ▸ Box, change a joint, check it and see its order."""

import bpy
import steps


def settings():
    return bpy.context.scene.flatwright_assembly


def parts():
    return [thing for thing in bpy.data.objects if thing.flatwright_part.is_part]


def scenario(driver):
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        bpy.ops.ed.undo_push(message="Stock")
    view = driver.area.spaces.active.region_3d
    view.view_location, view.view_distance = (0.0, 0.0, 0.03), 0.35
    yield from add_box(driver)
    yield from open_top(driver)
    yield from check(driver)


def add_box(driver):
    region = driver.region()
    yield from driver.move(region.x + 150, region.y + 200)
    yield from driver.key("A", shift=True)
    yield 0.6
    # Typing in an open menu looks for an entry by its name.
    yield from driver.type_text("box")
    yield 0.6
    yield from driver.shot("menu")
    yield from driver.key("RET")
    yield from driver.wait_until(lambda: len(parts()) == 6, 30.0, "The box")
    yield 0.6
    driver.check("closed", [len(parts()), len(settings().joints)])
    yield from driver.shot("box")


def open_top(driver):
    """The same with a lid, as the redo panel does it."""
    yield from driver.key("Z", ctrl=True)
    yield from driver.wait_until(lambda: not parts(), 30.0, "The box undone")
    with driver.viewport():
        bpy.ops.flatwright.add_box(top="lid")
    yield 0.6
    driver.check("lid", [len(parts()), len(settings().joints)])
    driver.check("figures", settings().joints[0].figures)
    yield from driver.shot("lid")


def check(driver):
    with driver.viewport():
        bpy.ops.mesh.primitive_cube_add(size=0.02, location=(0.3, 0.0, 0.0))
        bpy.ops.flatwright.set_fixture()
    yield from driver.click_button("flatwright.check_assembly")
    yield from driver.wait_until(lambda: settings().checked, 30.0, "The check")
    yield 0.5
    driver.check("clear", bool(settings().is_clear))
    driver.check("steps", len(settings().steps))
    yield from driver.shot("checked")
    yield from driver.find_button("flatwright.finger_parts")
    yield 0.3
    yield from driver.shot("joints panel")
