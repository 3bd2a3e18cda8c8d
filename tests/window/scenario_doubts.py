"""Edges in doubt seen, looked at and settled; an outline framed by a key; what a retake moved."""

from importlib import import_module

import bpy
import steps

DOUBTS = (
    ("faint", (-30.0, 0.0), 8.0, 0.6),
    ("ambiguous", (0.0, 20.0), 14.0, 0.4),
    ("ambiguous", (1.0, 20.0), 3.0, 0.3),
    ("faint", (-1.0, 20.0), 3.0, 0.2),
    ("open", (10.0, 2.0), 9.0, 0.05),
    ("line", (-12.0, -6.0), 0.0, 0.05),
)


def core(name):
    return import_module(f"{steps.MODULE}.{name}")


def scenario(driver):
    steps.open_folds("doubts")
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    plate = outline(driver)
    yield 0.5
    yield from framed(driver)
    yield from driver.shot("doubts")
    yield from looked_at(driver, plate)
    yield from retaken(driver, plate)


def view_of(driver):
    return driver.area.spaces.active.region_3d


def outline(driver):
    outlines, shapes = core("addon.outline.outline_objects"), core("geometry.outline")
    with driver.viewport():
        thing = outlines.add_outline(bpy.context, "Plate", shapes.rectangle(60.0, 40.0))
        bpy.ops.view3d.view_axis(type="TOP")
    for kind, place, reach, off in DOUBTS:
        kept = thing.flatwright_outline.doubts.add()
        kept.kind, kept.place_mm, kept.reach_mm, kept.off_mm = kind, place, reach, off
    core("addon.outline.tracing.doubts").recount(thing)
    driver.area.spaces.active.overlay.show_floor = False
    return thing


def framed(driver):
    view = view_of(driver)
    view.view_location, view.view_distance = (3.0, 2.0, 0.0), 5.0
    region = driver.region()
    yield from driver.move(region.x + region.width // 3, region.y + region.height // 2)
    yield from driver.key("NUMPAD_PERIOD")
    yield from driver.wait_until(lambda: view.view_distance < 1.0, 10.0, "The outline framed")
    yield 0.5
    screen = core("addon.blender.screen")
    thing = bpy.data.objects["Plate"]
    corners = [(-30.0, -20.0), (30.0, 20.0)]
    (ax, ay), (bx, by) = screen.region_points(thing.matrix_world, corners, region, view).tolist()
    driver.check("framed", [ax > 0, ay > 0, bx < region.width, by < region.height])
    driver.check("fills", max((bx - ax) / region.width, (by - ay) / region.height))
    driver.check("radius", [p.radius for p in thing.data.splines[0].bezier_points])


def looked_at(driver, plate):
    with driver.viewport():
        bpy.ops.flatwright.show_doubt(index=0)
    yield 0.5
    yield from driver.shot("near")
    driver.check("cursor", [round(1000.0 * c, 3) for c in bpy.context.scene.cursor.location])
    with driver.viewport():
        bpy.ops.flatwright.settle_edges(index=0)
    yield 0.5
    yield from driver.shot("settled")
    driver.check("open", plate.flatwright_outline.open_doubts)


def retaken(driver, plate):
    shapes, laying = core("geometry.outline"), core("addon.outline.tracing.laying")
    curves = core("addon.blender.curves")
    photo = bpy.data.objects.new("Better photo", None)
    bpy.context.scene.collection.objects.link(photo)
    again = shapes.rectangle(60.6, 40.0).rotated(0.3).moved(12.0, 5.0)
    found = shapes.register(again, curves.read_profile(plate.data))
    with driver.viewport():
        laying.take_anew(bpy.context, plate, photo, found)
        bpy.ops.flatwright.frame_outline()
    yield 0.5
    yield from driver.shot("retaken")
    driver.check("moved", round(found.worst_mm, 2))
