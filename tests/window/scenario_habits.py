"""Habits from elsewhere in Blender: tools of the toolbar by mouse, signs that speak."""

import json
from importlib import import_module
from pathlib import Path

import bpy
import steps

BENCH = Path(__file__).resolve().parents[1] / "data" / "bench_photo"
TRUTH = json.loads((BENCH / "truth.json").read_text())


def scenario(driver):
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    with driver.viewport():
        bpy.ops.flatwright.add_photo(filepath=str(BENCH / TRUTH["photo"]))
        bpy.ops.flatwright.look_at(what="BENCH")
    corners = TRUTH["rectangle_px"]
    # Beside the corners: a click on a mark that is there takes hold of it.
    ends = [(x + 45.0, y - 70.0) for x, y in corners[:2]]
    yield from marked_by_tool(driver, "flatwright.mark_length_tool", ends, "length")
    yield from marked_by_tool(driver, "flatwright.mark_rectangle_tool", corners, "rectangle")
    yield from traced_by_tool(driver)
    yield from assembled(driver)
    yield from hovered(driver)
    yield from laid_out(driver)


def tool_in_toolbar(driver, name):
    """Where in the toolbar Ctrl+C copies the command that takes up a tool."""
    line, manager = driver.region("TOOLS"), bpy.context.window_manager
    for y in range(line.y + line.height - 10, line.y, -12):
        manager.clipboard = ""
        yield from driver.move(line.x + 24, y)
        yield from driver.key("C", ctrl=True)
        if name in manager.clipboard:
            return (line.x + 24, y)
    raise TimeoutError(f"The toolbar has no {name}")


def marked_by_tool(driver, tool, marks_px, name):
    """Take up a tool by a click, set its marks by clicks, take the size that is asked for."""
    yield from driver.click(*(yield from tool_in_toolbar(driver, tool)))
    bench = steps.photo().flatwright_bench
    if name == "length":
        bench.length_mm = TRUTH["rectangle_mm"][0]
    else:
        bench.sheet = "TYPED"
        bench.width_mm, bench.height_mm = TRUTH["rectangle_mm"]
    for mark in marks_px:
        yield from driver.click(*steps.place_of_px(driver, mark))
        yield 0.4
    yield from driver.shot(f"{name} asked for")
    yield from driver.key("RET")
    yield from driver.wait_until(
        lambda: steps.photo().flatwright_bench.found_from == name.upper(), 120.0, name
    )
    found = steps.photo().flatwright_bench
    driver.check(f"{name} by tool", [len(found.references) > 0, bool(found.record)])
    yield from driver.shot(f"{name} by tool")


def traced_by_tool(driver):
    with driver.viewport():
        bench = steps.photo().flatwright_bench
        bench.reference, bench.face_height_mm = "GRID", TRUTH["mock_up_thickness_mm"]
        bpy.ops.flatwright.find_grid()
        bpy.ops.flatwright.look_at(what="BENCH")
    yield 0.5
    yield from driver.click(*(yield from tool_in_toolbar(driver, "flatwright.trace_tool")))
    yield from driver.click(*steps.window_place(driver, TRUTH["inside_px"]))
    yield from driver.wait_until(steps.outlines, 240.0, "The trace")
    driver.check("traced by tool", [o.name for o in steps.outlines()])


def assembled(driver):
    with driver.viewport():
        bpy.ops.wm.tool_set_by_id(name="builtin.select_box")
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        bpy.ops.flatwright.make_part()
        part = bpy.context.object
        bpy.ops.mesh.primitive_uv_sphere_add(
            segments=64, ring_count=32, radius=0.1, location=(-0.3, 0, 0.14)
        )
        bpy.ops.flatwright.set_fixture()
        bpy.ops.object.select_all(action="DESELECT")
        part.select_set(True)
        bpy.context.view_layer.objects.active = part
        bpy.ops.flatwright.stand_around(count=3, distance=0.02)
        bpy.ops.flatwright.check_assembly()
        bpy.ops.flatwright.look_at(what="ASSEMBLY")
        bpy.ops.object.select_all(action="DESELECT")
    yield 0.5
    yield from driver.shot("gaps")


def hovered(driver):
    """Rest on the first sign, see that it says whose gap it is, and click it."""
    module = import_module(f"{steps.MODULE}.addon.assembly.signs")
    region = driver.region()
    signs = module._drawn[region.as_pointer()]
    place = signs[0].at
    at = (region.x + place[0], region.y + place[1])
    yield from driver.move(*at)
    yield 0.3
    sign = module.hovered_sign(region)
    driver.check("hovered says", sign.whole if sign is not None else "")
    yield from driver.shot("hovered")
    yield from driver.click(*at)
    yield 0.3
    driver.check("hovered is about", list(signs[0].things))
    driver.check("selected by click", [o.name for o in bpy.context.selected_objects])
    yield from driver.move(region.x + 60, region.y + 60)
    yield 0.3
    driver.check("rests beside", module.hovered_sign(region) is None)


def laid_out(driver):
    with driver.viewport():
        bpy.ops.flatwright.lay_out()
        bpy.ops.flatwright.look_at(what="SHEET")
    yield 0.5
    yield from driver.shot("sheet")
    pieces = [o.name for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE"]
    driver.check("pieces", sorted(pieces))
