"""How high the tab is at every stage of the job, in the window of a small laptop."""

import bpy
import steps


def scenario(driver):
    """Go through the job by its operators; at each stage measure, select nothing, measure again."""
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    heights = {}
    for name, act in STAGES:
        with driver.viewport():
            act(driver)
        yield 0.3
        heights[name] = yield from measured(driver)
        for thing in bpy.context.selected_objects:
            thing.select_set(False)
        bpy.context.view_layer.objects.active = None
        heights[f"{name}, nothing selected"] = yield from measured(driver)
        driver.check("heights_px", heights)
        choose(LAST.get(name))
        yield from driver.shot(name)
        choose(LAST.get(name))


LAST = {}


def choose(name):
    thing = bpy.data.objects.get(name or "")
    if thing is not None:
        thing.select_set(True)
        bpy.context.view_layer.objects.active = thing


def measured(driver):
    """Height of everything in the tab, in pixels: where its end comes to lie after scrolling."""
    side = driver.region("UI")
    yield from driver.move(side.x + 6, side.y + side.height // 2)
    driver.redraw()
    yield 0.3
    found = []
    for wheel, at in (("WHEELDOWNMOUSE", 0), ("WHEELUPMOUSE", None)):
        for _ in range(120):
            driver._event(wheel, "PRESS", driver.mouse)
        driver.redraw()
        yield 0.5
        side = driver.region("UI")
        found.append(side.view2d.region_to_view(0, side.height if at is None else at)[1])
    driver.check("sidebar_height_px", side.height)
    return round(found[1] - found[0])


def photo(driver):
    bpy.ops.flatwright.add_photo(filepath=str(steps.DEMO / steps.TRUTH["photo"]))
    steps.photo().flatwright_bench.face_height_mm = steps.TRUTH["mock_up_thickness_mm"]


def part(driver):
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.flatwright.make_part()
    LAST["part"] = bpy.context.object.name


def assembly(driver):
    made = bpy.context.object or bpy.data.objects[LAST["part"]]
    bpy.ops.mesh.primitive_uv_sphere_add(
        segments=64, ring_count=32, radius=0.1, location=(-0.3, 0, 0.14)
    )
    bpy.ops.flatwright.set_fixture()
    for thing in bpy.context.selected_objects:
        thing.select_set(False)
    choose(made.name)
    bpy.ops.flatwright.stand_around(count=3, distance=0.02)
    bpy.ops.flatwright.check_assembly()


STAGES = (
    ("nothing", lambda driver: None),
    ("photo", photo),
    ("scale", lambda driver: (choose(steps.photo().name), bpy.ops.flatwright.find_grid())),
    (
        "outline",
        lambda driver: (
            choose(steps.photo().name),
            bpy.ops.flatwright.trace_outline(inside_px=steps.TRUTH["inside_px"]),
            LAST.update(outline=bpy.context.object.name),
        ),
    ),
    (
        "symmetric",
        lambda driver: (
            bpy.ops.flatwright.make_symmetric(),
            LAST.update(symmetric=bpy.context.object.name),
        ),
    ),
    ("part", part),
    ("assembly", assembly),
    ("sheet", lambda driver: bpy.ops.flatwright.lay_out()),
    ("files", lambda driver: bpy.ops.flatwright.check_readiness()),
)
