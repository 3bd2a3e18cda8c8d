"""Nudge a piece onto another, see the sign, undo; pin one and improve the rest, with Esc."""

import os
from importlib import import_module

import bpy
import steps
from bpy_extras.view3d_utils import location_3d_to_region_2d


def scenario(driver):
    yield 1.0
    yield from driver.open_sidebar()
    yield from steps.empty_scene(driver)
    plates(driver)
    yield 0.3
    yield from driver.click_button("flatwright.lay_out")
    yield from driver.wait_until(lambda: of("SHEET"), 30.0, "The sheet")
    yield from look_at_sheet(driver)
    yield from driver.shot("laid out")
    yield from nudge(driver)
    yield from pin(driver)
    yield from improve(driver)
    driver.check("reports", driver.reports())


def plates(driver):
    """Twelve triangles, which a solver can still push closer."""
    core = f"{steps.MODULE}.geometry.outline"
    wedge = import_module(core).Profile(
        import_module(core).Loop.through([(0.0, 0.0), (150.0, 0.0), (0.0, 95.0)])
    )
    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        import_module(f"{steps.MODULE}.addon.outline.outline_objects").add_outline(
            bpy.context, "Wedge", wedge
        )
        bpy.ops.flatwright.make_part()
        part = bpy.context.object
        for _ in range(11):
            bpy.context.collection.objects.link(part.copy())
        bpy.ops.ed.undo_push(message="Copies")


def of(role):
    found = [o for o in bpy.data.objects if o.flatwright_sheet.role == role]
    return sorted(found, key=lambda o: o.name)


def troubles():
    found = import_module(f"{steps.MODULE}.addon.sheet.troubles").troubles(bpy.context)
    return [trouble.state for trouble in found]


def look_at_sheet(driver):
    with driver.viewport():
        bpy.ops.object.select_all(action="DESELECT")
        for thing in of("SHEET"):
            thing.select_set(True)
        bpy.ops.view3d.view_axis(type="TOP")
        bpy.ops.view3d.view_selected()
        bpy.ops.object.select_all(action="DESELECT")
    yield 0.5


def middle(driver, thing):
    """Where in the window the edge of a piece is shown, to click it."""
    region = driver.region()
    points = thing.data.splines[0].bezier_points
    place = thing.matrix_world @ ((points[0].co + points[1].co) / 2.0)
    at = location_3d_to_region_2d(region, driver.area.spaces.active.region_3d, place)
    return (region.x + at.x, region.y + at.y)


def nudge(driver):
    """Click a piece, move it with G, and take it back with Ctrl+Z."""
    driver.check("wrong_before", troubles())
    piece = of("PIECE")[0]
    x, y = middle(driver, piece)
    yield from driver.click(x, y)
    yield 0.3
    driver.check("clicked", [o.flatwright_sheet.role for o in bpy.context.selected_objects])
    before = tuple(bpy.context.object.location)
    yield from driver.key("G")
    yield from driver.move(x + 30, y + 25)
    yield from driver.move(x + 40, y + 30)
    yield from driver.click(x + 40, y + 30)
    yield 0.4
    driver.check("wrong_nudged", troubles())
    yield from driver.shot("overlap")
    yield from driver.move(x, y)
    yield from driver.key("Z", ctrl=True)
    yield 0.5
    after = tuple(bpy.context.object.location)
    driver.check("undone", max(abs(a - b) for a, b in zip(before, after, strict=True)) < 1e-6)
    driver.check("wrong_undone", troubles())


def pin(driver):
    yield from driver.click_button("flatwright.pin_pieces")
    yield 0.3
    driver.check("pinned", sum(o.flatwright_sheet.pinned for o in of("PIECE")))
    yield from driver.shot("pinned")
    yield from driver.click_button("flatwright.pin_pieces")
    yield 0.3
    driver.check("freed", sum(o.flatwright_sheet.pinned for o in of("PIECE")))


def improve(driver):
    """Improve for ten minutes, and stop it: nothing computes on."""
    bpy.context.scene.flatwright_layout.seconds = 600
    yield from driver.click_button("flatwright.improve_layout")
    yield from driver.wait_until(children, 15.0, "The solver")
    yield 2.0
    driver.check("solving", len(children()))
    yield from driver.shot("improving")
    yield from driver.key("ESC")
    yield from driver.wait_until(lambda: not children(), 5.0, "The solver's end")
    yield 0.5
    driver.check("pieces", len(of("PIECE")))
    driver.check("wrong_improved", troubles())
    yield from driver.shot("improved")


def children():
    """Process numbers this Blender has started."""
    found = []
    for task in os.listdir("/proc/self/task"):
        with open(f"/proc/self/task/{task}/children", encoding="ascii") as listed:
            found += listed.read().split()
    return found
