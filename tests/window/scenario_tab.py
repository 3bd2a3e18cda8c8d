"""How high the tab is at every stage of the job, in the window of a small laptop."""

from importlib import import_module

import bpy
import steps

GERMAN = "de_DE" if bpy.app.version < (5, 0) else "de"


def scenario(driver):
    """Go through the job by its operators; at each stage measure, select nothing, measure again."""
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    yield from search(driver, "trace")
    yield from driver.shot("search")
    yield from driver.key("ESC")
    yield from driver.key("ESC")
    heights = {}
    for name, act in STAGES:
        if name == "outline":
            yield from trace_by_tool(driver)
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
        if name == "sheet":
            with driver.viewport():
                bpy.ops.flatwright.look_at(what="SHEET")
        yield from driver.shot(name)
        choose(LAST.get(name))
    yield from opened(driver)


def opened(driver):
    """Open every stage of the finished job in turn, in both languages, and measure it."""
    heights = {}
    for language in (GERMAN, "en_US"):
        bpy.context.preferences.view.language = language
        for stage, _, _ in import_module(f"{steps.MODULE}.addon.panels").STAGES:
            driver.open_stage(stage)
            yield 0.3
            heights[f"{stage} {language[:2]}"] = yield from measured(driver)
            driver.check("opened_px", heights)
            if language == GERMAN:
                yield from driver.shot(f"opened {stage}")


def search(driver, words):
    """Press F3 over the viewport and type."""
    view = driver.region()
    yield from driver.move(view.x + 200, view.y + 200)
    yield from driver.key("F3")
    yield 0.5
    yield from driver.type_text(words)
    yield 0.8


def trace_by_tool(driver):
    """Two parts' clicks one after the other with the toolbar's tool: the same part, twice."""
    yield from steps.look_down(driver)
    with driver.viewport():
        bpy.ops.wm.tool_set_by_id(name="flatwright.trace_tool")
    before = yield from driver.find_button("flatwright.trace_outline")
    at = steps.window_place(driver, steps.TRUTH["inside_px"])
    for count in (1, 2):
        yield from driver.click(*at)
        yield from driver.wait_until(lambda n=count: len(steps.outlines()) == n, 60.0, "A trace")
        yield 0.3
    driver.check("traced by tool", [o.name for o in steps.outlines()])
    yield from driver.shot("traced by tool")
    after = yield from driver.find_button("flatwright.trace_outline")
    for thing in bpy.context.selected_objects:
        thing.select_set(False)
    bpy.context.view_layer.objects.active = None
    unselected = yield from driver.find_button("flatwright.trace_outline")
    driver.check("button at", [before, after, unselected])
    for thing in steps.outlines():
        bpy.data.objects.remove(thing)
    with driver.viewport():
        bpy.ops.wm.tool_set_by_id(name="builtin.select_box")


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
