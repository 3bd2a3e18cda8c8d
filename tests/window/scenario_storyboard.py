"""The demo's job, a picture a stage; played by ``scripts/storyboard.py`` for the README."""

import os
import sys
from pathlib import Path

import bpy
import steps
from mathutils import Vector

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

MM = 1e-3
BESIDE_M = -0.26
"""The globe is modelled beside the photo, which lies to the right of the origin."""


def scenario(driver):
    """Take the pictures of the storyboard and the one of the whole tab."""
    yield 1.0
    drawing = bpy.context.preferences.system
    drawing.viewport_aa, drawing.use_overlay_smooth_wire = "8", True
    if os.environ.get("STORYBOARD_LANGUAGE") == "de":
        bpy.context.preferences.view.language = "de_DE" if bpy.app.version < (5, 0) else "de"
    with driver.viewport():
        bpy.ops.screen.screen_full_area()
    yield 0.5
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    yield from photo_to_outline(driver)
    yield from part(driver)
    yield from assembly(driver)
    yield from sheet_and_files(driver)


def see(driver, name, button=None):
    """Bring a button of the sidebar into sight, then take the mouse away and the picture."""
    if button is not None:
        yield from driver.find_button(button)
    view = driver.region()
    yield from driver.move(view.x + 120, view.y + 60)
    yield from driver.shot(name)


def choose(thing):
    """Select this object alone; none with None."""
    for other in bpy.context.selected_objects:
        other.select_set(False)
    if thing is not None:
        thing.select_set(True)
        bpy.context.view_layer.objects.active = thing


def look_down(driver, wide_m):
    """Top view with the selected thing in the middle of what the sidebar leaves free."""
    corners = [
        thing.matrix_world @ Vector(corner)
        for thing in bpy.context.selected_objects
        for corner in thing.bound_box
    ]
    low, high = (Vector(map(end, zip(*corners, strict=True))) for end in (min, max))
    view = driver.area.spaces.active.region_3d
    with driver.viewport():
        bpy.ops.view3d.view_axis(type="TOP")
    view.view_location = (low + high) / 2.0 + Vector((0.12 * wide_m, 0.0, 0.0))
    view.view_distance = wide_m
    yield 0.3


def photo_to_outline(driver):
    with driver.viewport():
        bpy.ops.flatwright.add_example()
        bpy.ops.flatwright.look_at(what="BENCH")
    yield from see(driver, "photo")
    with driver.viewport():
        bpy.ops.flatwright.find_grid()
        bpy.ops.flatwright.look_at(what="BENCH")
    yield from see(driver, "bench", "flatwright.find_grid")
    with driver.viewport():
        bpy.ops.flatwright.trace_outline(inside_px=steps.TRUTH["inside_px"])
        bpy.ops.flatwright.make_symmetric()
    bpy.context.object.flatwright_outline.show_sizes = True
    yield from look_down(driver, 0.28)
    yield from see(driver, "outline", "flatwright.make_symmetric")


def part(driver):
    import globe_cradle as cradle

    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        stock = bpy.context.scene.flatwright_stocks[0]
        stock.name = cradle.PLYWOOD.name
        stock.thickness, stock.kerf = (
            size * MM for size in (cradle.PLYWOOD.thickness_mm, cradle.PLYWOOD.kerf_mm)
        )
        stock.sheet_width, stock.sheet_height = (size * MM for size in cradle.PLYWOOD.sheet_mm)
        bpy.ops.flatwright.make_part()
    bpy.context.object.name = "Rib"
    yield from look_down(driver, 0.28)
    yield 1.5
    yield from see(driver, "part", "flatwright.make_part")


def globe(cradle):
    """Model a ball on a neck, as a person would."""
    up_mm = cradle.REACH_MM
    bpy.ops.mesh.primitive_uv_sphere_add(
        segments=256,
        ring_count=128,
        radius=cradle.BALL_RADIUS_MM * MM,
        location=(BESIDE_M, 0.0, up_mm * MM),
    )
    ball = bpy.context.object
    top, bottom = cradle.neck_top_z_mm() + 2.0, cradle.NECK_BOTTOM_Z_MM
    bpy.ops.mesh.primitive_cylinder_add(
        vertices=256,
        radius=cradle.NECK_DIAMETER_MM / 2.0 * MM,
        depth=(top - bottom) * MM,
        location=(BESIDE_M, 0.0, (up_mm + (top + bottom) / 2.0) * MM),
    )
    ball.select_set(True)
    bpy.context.view_layer.objects.active = ball
    bpy.ops.object.join()
    bpy.ops.object.shade_smooth()
    ball.name = "Globe"


def assembly(driver):
    import globe_cradle as cradle

    rib = bpy.context.object
    with driver.viewport():
        globe(cradle)
        bpy.ops.flatwright.set_fixture()
        choose(rib)
        bpy.ops.flatwright.stand_around(
            count=cradle.RIB_COUNT, distance=cradle.FOOT_MM * MM, floor=0.0
        )
        bpy.ops.flatwright.look_at(what="ASSEMBLY")
    yield from see(driver, "ribs", "flatwright.stand_around")
    rings = (
        ("Upper ring", cradle.UPPER_RING_Z_MM, cradle.UPPER_RING_OUTER_MM),
        ("Lower ring", cradle.LOWER_RING_Z_MM, cradle.LOWER_RING_OUTER_MM),
    )
    with driver.viewport():
        for name, z_mm, outer_mm in rings:
            bpy.ops.flatwright.ring_around_fixture(
                height=(cradle.REACH_MM + z_mm) * MM,
                outer_diameter=outer_mm * MM,
                clearance=cradle.RING_CLEARANCE_MM * MM,
            )
            bpy.context.object.name = name
        choose(None)
        bpy.ops.flatwright.join_parts()
        bpy.ops.flatwright.check_assembly()
        choose(None)
        bpy.ops.flatwright.look_at(what="ASSEMBLY")
    driver.area.spaces.active.region_3d.view_distance *= 0.8
    yield 1.0
    yield from see(driver, "assembly", "flatwright.check_assembly")


def sheet_and_files(driver):
    with driver.viewport():
        bpy.ops.flatwright.lay_out()
        bpy.ops.flatwright.look_at(what="SHEET")
    choose(None)
    for thing in bpy.data.objects:
        # Selected things are drawn bright.
        thing.select_set(thing.flatwright_sheet.role == "PIECE")
    driver.area.spaces.active.overlay.show_relationship_lines = False
    yield 1.0
    yield from see(driver, "sheets", "flatwright.lay_out")
    with driver.viewport():
        bpy.ops.flatwright.check_readiness()
    yield 0.5
    yield from see(driver, "check", "flatwright.check_readiness")
    choose(next(thing for thing in steps.parts() if thing.name == "Rib"))
    with driver.viewport():
        bpy.ops.flatwright.look_at(what="ASSEMBLY")
    yield from see(driver, "window", "flatwright.add_photo")
