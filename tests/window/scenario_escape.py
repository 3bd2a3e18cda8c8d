"""Every tool that waits for the mouse, given up; a stretch of the scenario of clicks."""

import json
from importlib import import_module

import bpy
import scenario_outline
import steps

TOOLS = (
    # Operator, what is active, how it is called, whether one click comes first.
    ("mark_length", "photo", {}, True),
    ("mark_rectangle", "photo", {}, True),
    ("add_length", "photo", {}, True),
    ("move_marks", "photo", {}, False),
    ("trace_outline", "photo", {}, False),
    ("trace_drawn", "photo", {}, False),
    ("add_to_trace", "outline", {}, False),
    ("remove_from_trace", "outline", {}, False),
    ("make_symmetric", "outline", {"place": "points"}, True),
    ("move_axis", "Plate symmetric", {}, False),
    ("place_on_face", "Rib", {}, False),
    ("mate_edges", "Rib", {}, False),
)

BOTH_WAYS = (
    "mark_length",
    "move_marks",
    "trace_outline",
    "make_symmetric",
    "move_axis",
    "mate_edges",
)
"""One of each kind; the others are of a kind with one of them."""


def give_up_tools(driver):
    """From a photo with its bench and one traced outline."""
    prepare(driver)
    yield 0.5
    before = state()
    for name, active, settings, clicked in TOOLS:
        for way in ("ESC", "RIGHTMOUSE") if name in BOTH_WAYS else ("ESC",):
            said = yield from give_up(driver, name, active, settings, clicked, way)
            driver.check(f"{name} {way}", [said, state() == before])
        yield from away(driver)
    yield from driver.shot("after all")
    # None of them left a step of undo: the one step back is the last thing done before.
    yield from driver.key("Z", ctrl=True)
    yield 0.6
    driver.check("undone", sorted(o.name for o in bpy.data.objects))


def prepare(driver):
    """A part beside the photo, a length marked, and all in sight from above."""
    scenario_outline.hand_cut(driver)
    px = [steps.shown_px(steps.seen_px(place)) for place in ((60.0, 60.0), (260.0, 60.0))]
    with driver.viewport():
        bpy.ops.flatwright.make_symmetric()
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        bpy.ops.flatwright.make_part()
        bpy.context.object.name = "Rib"
        select(steps.photo().name)
        bpy.ops.flatwright.add_length(a_px=px[0], b_px=px[1], length=0.2)
        bpy.ops.flatwright.look_at(what="BENCH")
        bpy.ops.ed.undo_push(message="Prepared")
        bpy.ops.mesh.primitive_cube_add(size=0.02, location=(-0.05, 0.0, 0.0))
        bpy.ops.ed.undo_push(message="Cube")
    choose_all_visible()


def choose_all_visible():
    for thing in bpy.data.objects:
        thing.hide_set(False)


def select(name):
    for thing in bpy.context.selected_objects:
        thing.select_set(False)
    thing = bpy.data.objects[name]
    thing.select_set(True)
    bpy.context.view_layer.objects.active = thing


def state():
    """Everything a tool could have changed, but for what is selected."""
    read = import_module(f"{steps.MODULE}.addon.blender.curves").points_of
    found = {}
    for thing in bpy.data.objects:
        points = read(thing.data).tolist() if thing.type == "CURVE" else []
        bench, outline = thing.flatwright_bench, thing.flatwright_outline
        kept = [one.record for one in bench.references]
        found[thing.name] = [
            [list(row) for row in thing.matrix_world],
            [thing.hide_get(), points, bench.record, kept],
            [outline.symmetry_record, len(outline.clicks)],
        ]
    blocks = (bpy.data.curves, bpy.data.meshes, bpy.data.images, bpy.data.texts)
    return json.dumps([found, [len(kind) for kind in blocks]])


def running(driver):
    return [o.bl_idname for o in driver.window.modal_operators if "FLATWRIGHT" in o.bl_idname]


def away(driver):
    view = driver.region()
    yield from driver.move(view.x + 90, view.y + 60)


def give_up(driver, name, active, settings, clicked, way):
    """Start a tool over the photo, move about, give it up; return whether it ran and ended."""
    photo = steps.photo().name
    select({"photo": photo, "outline": "Part 1 outline"}.get(active, active))
    inside = steps.place_of_px(driver, steps.shown_px(steps.TRUTH["inside_px"]))
    yield from driver.move(*inside)
    with driver.viewport():
        getattr(bpy.ops.flatwright, name)("INVOKE_DEFAULT", **settings)
    ran = running(driver)
    yield from driver.move(inside[0] + 20, inside[1] + 10)
    if clicked:
        yield from driver.click(inside[0] + 30, inside[1] + 10)
    yield from driver.move(inside[0] + 40, inside[1] - 10)
    yield from driver.key(way)
    yield 0.15
    return [len(ran), len(running(driver))]
