"""Mate two parts by their edges with clicks, tab them, move one away and back, see the order."""

import math
from importlib import import_module

import bpy
import steps
from bpy_extras.view3d_utils import location_3d_to_region_2d
from mathutils import Vector

ARROW_PX = 75.0
"""From an arrow's foot to the box at its head, at the interface's usual size."""
PLATES = (("Base", 120.0, 80.0, (0.0, 0.0, 0.0)), ("Wall", 100.0, 40.0, (0.0, 0.11, 0.0)))


def settings():
    return bpy.context.scene.flatwright_assembly


def window_place(driver, world):
    region = driver.region()
    at = location_3d_to_region_2d(region, driver.area.spaces.active.region_3d, Vector(world))
    return region.x + at.x, region.y + at.y


def holes(name):
    return len(bpy.data.objects[name].data.splines) - 1


def scenario(driver):
    steps.open_folds("placing")
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    plates(driver)
    driver.area.spaces.active.overlay.show_floor = False
    view = driver.area.spaces.active.region_3d
    with driver.viewport():
        bpy.ops.view3d.view_axis(type="TOP")
    view.view_location, view.view_distance = (0.06, 0.05, 0.0), 0.42
    yield 0.5
    yield from driver.shot("plates")
    yield from mate(driver)
    yield from tab(driver)
    yield from follow(driver)
    yield from order(driver)
    yield from split(driver)


def split(driver):
    """Lap a rib into the base and drag the arrow where their slots meet."""
    from mathutils import Matrix

    package = "bl_ext.user_default.flatwright"
    base = bpy.data.objects["Base"]
    with driver.viewport():
        outlines = import_module(f"{package}.addon.outline.outline_objects")
        shapes = import_module(f"{package}.geometry.outline")
        outline = outlines.add_outline(bpy.context, "Rib outline", shapes.rectangle(100.0, 60.0))
        bpy.ops.flatwright.make_part()
        outline.hide_set(True)
        rib = bpy.context.object
        rib.name = "Rib"
        rib.matrix_world = Matrix.Rotation(math.pi / 2, 4, "X") @ Matrix.Rotation(
            math.pi / 2, 4, "Y"
        )
        base.select_set(True)
        bpy.ops.flatwright.join_parts()
        base.select_set(False)
        bpy.context.view_layer.objects.active = rib
        bpy.ops.view3d.view_axis(type="RIGHT")
    view = driver.area.spaces.active.region_3d
    view.view_location, view.view_distance = (0.0, 0.0, 0.0), 0.25
    yield 0.8
    joint = settings().joints[settings().joint_index]
    driver.check("split before", round(joint.split, 3))
    driver.check("slot before", slot_bottom_mm())
    yield from driver.shot("split")
    here = window_place(driver, Vector(joint.start).lerp(Vector(joint.end), joint.split))
    away = Vector(window_place(driver, joint.end)) - Vector(window_place(driver, joint.start))
    head = Vector(here) + away.normalized() * ARROW_PX
    yield from driver.drag(tuple(head), tuple(head + away * 0.2))
    yield 0.6
    driver.check("split after", round(settings().joints[settings().joint_index].split, 2))
    driver.check("slot after", slot_bottom_mm())
    yield from driver.shot("split dragged")
    yield from driver.key("Z", ctrl=True)
    yield 0.6
    driver.check("split undone", round(settings().joints[settings().joint_index].split, 3))


def slot_bottom_mm():
    """How far the slot in the base reaches, along the line from where it opens."""
    joint = settings().joints[settings().joint_index]
    start, end = Vector(joint.start), Vector(joint.end)
    base = bpy.data.objects["Base"]
    corners = [base.matrix_world @ p.co for p in base.data.splines[0].bezier_points]
    along = (end - start).normalized()
    # Of the corners beside the line, the slot's bottom is the one farthest in.
    near = [(c - start).dot(along) for c in corners if (c - start).cross(along).length < 2e-3]
    inside = [1e3 * d for d in near if 1e-3 < d < (end - start).length - 1e-3]
    return round(max(inside), 2)


def plates(driver):
    package = "bl_ext.user_default.flatwright"
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    shapes = import_module(f"{package}.geometry.outline")
    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        for name, width, height, place in PLATES:
            outline = outlines.add_outline(
                bpy.context, f"{name} outline", shapes.rectangle(width, height)
            )
            bpy.ops.flatwright.make_part()
            bpy.context.object.name = name
            bpy.context.object.location = place
            outline.hide_set(True)


def mate(driver):
    yield from driver.click_button("flatwright.mate_edges")
    # Beside both parts first: the click is refused in a sentence and costs nothing.
    yield from driver.click(*window_place(driver, (0.0, -0.09, 0.0)))
    yield 0.3
    driver.check("refused", driver.reports().strip().splitlines()[-1])
    yield from driver.click(*window_place(driver, (0.0, 0.094, 0.0)))
    yield from driver.shot("first edge")
    yield from driver.click(*window_place(driver, (0.0, -0.036, 0.0)))
    yield 0.5
    bpy.context.view_layer.update()
    wall = bpy.data.objects["Wall"]
    driver.check("mated", [round(c * 1e3, 3) for c in wall.matrix_world.to_3x3().col[1]])
    driver.check("mated at", [round(c * 1e3, 3) for c in wall.location])


def tab(driver):
    for thing in steps.parts():
        thing.select_set(True)
    with driver.viewport():
        bpy.ops.view3d.view_axis(type="FRONT")
        bpy.ops.view3d.view_orbit(type="ORBITUP", angle=0.6)
        bpy.ops.view3d.view_orbit(type="ORBITRIGHT", angle=0.5)
    view = driver.area.spaces.active.region_3d
    view.view_location = (0.03, 0.0, 0.01)
    yield from driver.click_button("flatwright.tab_parts")
    yield from driver.wait_until(
        lambda: any(j.figures for j in settings().joints), 20.0, "The tabbed joint"
    )
    driver.check("joints", [(j.kind, j.figures) for j in settings().joints])
    driver.check("sides", len(bpy.data.objects["Base"].data.splines[0].bezier_points))
    yield from driver.shot("tabbed")


def follow(driver):
    wall = bpy.data.objects["Wall"]
    for thing in bpy.context.selected_objects:
        thing.select_set(False)
    wall.select_set(True)
    bpy.context.view_layer.objects.active = wall
    region = driver.region()
    yield from driver.move(region.x + region.width * 0.3, region.y + region.height * 0.5)
    for key in ("G", "Z"):
        yield from driver.key(key)
    yield from driver.type_text("30")
    yield from driver.key("RET")
    yield from driver.wait_until(lambda: settings().joints[0].is_asleep, 5.0, "Falling asleep")
    driver.check("moved away", len(bpy.data.objects["Base"].data.splines[0].bezier_points))
    yield from driver.shot("moved away")
    yield from driver.key("Z", ctrl=True)
    yield from driver.wait_until(
        lambda: not settings().joints[0].is_asleep, 5.0, "Waking up after undo"
    )
    driver.check("back again", len(bpy.data.objects["Base"].data.splines[0].bezier_points))


def order(driver):
    yield from driver.click_button("flatwright.check_assembly")
    yield from driver.wait_until(lambda: settings().checked, 30.0, "The check")
    yield 0.5
    driver.check("clear", settings().is_clear)
    with driver.viewport():
        bpy.ops.flatwright.show_steps()
    yield 0.5
    yield from driver.shot("steps")
    with driver.viewport():
        bpy.ops.flatwright.hide_steps()
    driver.check("parts", len(steps.parts()))
