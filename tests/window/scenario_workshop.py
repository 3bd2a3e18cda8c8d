"""The loop with the workshop, seen: an object from rows, a cut part compared, kept, cut again."""

import json
from importlib import import_module
from pathlib import Path

import bpy
import steps

CUT = json.loads((steps.DEMO / "cut.json").read_text())
ROWS = "0 90\n20 104\n40 120\n60 128\n80 120\n100 104\n120 90\n"


def scene():
    return bpy.context.scene


def module(name):
    return import_module(f"{steps.MODULE}.{name}")


def scenario(driver):
    yield 1.0
    yield from steps.empty_scene(driver)
    open_nested("comparison", "recut")
    steps.open_folds("measured", "holding", "offcuts", "jobs", "times")
    yield from driver.open_sidebar()
    yield from measured(driver)
    yield from compared(driver)
    yield from laid(driver)
    yield from again(driver)
    yield from leftovers(driver)


def open_nested(outer, inner):
    """Have a panel and the one within it open from the start."""
    classes = [getattr(bpy.types, f"FLATWRIGHT_PT_{name}") for name in (inner, outer)]
    for cls in classes:
        bpy.utils.unregister_class(cls)
    for cls in reversed(classes):
        cls.bl_options = set()
        bpy.utils.register_class(cls)


def choose(*things):
    for thing in bpy.context.selected_objects:
        thing.select_set(False)
    for thing in things:
        thing.hide_set(False)
        thing.select_set(True)
        bpy.context.view_layer.objects.active = thing


def measured(driver):
    """An object from the rows on the clipboard, by the button and its dialog."""
    at = yield from driver.find_button("flatwright.add_measured")
    bpy.context.window_manager.clipboard = ROWS
    yield from driver.click(*at)
    yield 0.6
    yield from driver.shot("measured dialog")
    yield from driver.key("RET")
    yield from driver.wait_until(
        lambda: any(o.flatwright_measured.made_from == "ROWS" for o in bpy.data.objects),
        20.0,
        "The object",
    )
    thing = bpy.context.object
    driver.check("measured mm", [round(1000.0 * side, 2) for side in thing.dimensions])
    with driver.viewport():
        bpy.ops.view3d.view_selected()
    yield from driver.shot("measured")
    thing.hide_set(True)


def compared(driver):
    """The photo of the demo's rib as it was cut, compared with its drawing; the map of it."""
    shapes = module("geometry.outline.curves")
    drawn = shapes.profile_from_record(json.dumps(CUT["drawn"]))
    with driver.viewport():
        module("addon.outline.outline_objects").add_outline(bpy.context, "Rib outline", drawn)
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        stock = scene().flatwright_stocks[0]
        stock.name, stock.kerf_mm, stock.thickness_mm = "Birch", CUT["corrected_mm"], 3.0
        bpy.ops.flatwright.make_part()
        part = bpy.context.object
        part.name = "Rib"
        bpy.ops.flatwright.add_photo(filepath=str(steps.DEMO / "cut.jpg"))
        photo = bpy.context.object
        photo.flatwright_bench.pitch_mm = 10.0
        photo.flatwright_bench.face_height_mm = CUT["thickness_mm"]
        bpy.ops.flatwright.find_grid()
        bpy.ops.flatwright.trace_outline(inside_px=CUT["inside_px"])
        bpy.ops.flatwright.add_machine()
    name = "Machine 1"
    scene().flatwright_readiness.machine = name
    traced = bpy.context.object
    choose(part, traced)
    yield from steps.look_down(driver)
    # Without a part it asks: it can only be the kerf test.
    choose(traced)
    at = yield from driver.find_button("flatwright.compare_with_drawing")
    yield from driver.click(*at)
    yield 0.8
    yield from driver.shot("compare dialog")
    yield from driver.key("ESC")
    driver.check("asked only", traced.flatwright_compared.of)
    choose(part, traced)
    yield from driver.click(*at)
    yield from driver.wait_until(
        lambda: traced.flatwright_compared.of == "PART", 60.0, "The comparison"
    )
    found = traced.flatwright_compared
    driver.check("kerf mm", [found.kerf_mm, found.kerf_doubt_mm])
    driver.check("y against x", [found.against, found.against_doubt])
    driver.check("lies", found.lies)
    choose(traced)
    yield from driver.shot("map of deviations")
    yield from driver.click_button("flatwright.keep_comparison")
    yield 0.4
    driver.check("kerf kept mm", stock.kerf_mm)
    yield from driver.shot("kept")
    yield from kept_kerf(driver, stock)
    photo.hide_set(True)
    traced.hide_set(True)


def kept_kerf(driver, stock):
    """What is kept with the machine is offered, and used only when it is pressed."""
    stock.kerf_mm = 0.1
    at = yield from driver.find_button("flatwright.use_kept_kerf")
    yield from driver.shot("kept kerf offered")
    driver.check("kerf before mm", stock.kerf_mm)
    yield from driver.click(*at)
    yield 0.4
    driver.check("kerf used mm", stock.kerf_mm)


def laid(driver):
    """Sets, a second job, bridges, lead-ins and the order of cuts."""
    rib = bpy.data.objects["Rib"]
    with driver.viewport():
        shapes = module("geometry.outline")
        outlines = module("addon.outline.outline_objects")
        outlines.add_outline(bpy.context, "Foot outline", shapes.rectangle(60.0, 40.0))
        bpy.ops.flatwright.make_part()
    foot = bpy.context.object
    foot.name = "Foot"
    foot.matrix_world.translation = (0.3, 0.0, 0.0)
    driver.open_stage("sheet")
    yield 0.5
    # The + stands beside the list, at the very right.
    at = yield from driver.find_copied("bpy.ops.flatwright.add_job(", 0.83)
    choose(foot)
    yield from driver.click(*at)
    yield 0.4
    driver.check("job", foot.flatwright_part.job)
    scene().flatwright_jobs[0].sets = 4
    layout = scene().flatwright_layout
    layout.sets, layout.bridges, layout.bridge_mm, layout.lead_mm = 1, 3, 1.0, 3.0
    layout.shows_order = True
    choose(rib)
    yield from driver.click_button("flatwright.lay_out")
    yield from driver.wait_until(sheets, 60.0, "The sheets")
    with driver.viewport():
        bpy.ops.flatwright.look_at(what="SHEET")
    yield 1.0
    driver.check("pieces", sorted(labels()))
    yield from driver.shot("bridges and order")
    view = driver.area.spaces.active.region_3d
    piece = next(o for o in bpy.data.objects if o.flatwright_sheet.label == "Rib")
    view.view_location, view.view_distance = piece.matrix_world.translation, 0.14
    yield 0.5
    yield from driver.shot("bridges near")
    folder = Path(driver.out) / "cut"
    folder.mkdir()
    with driver.viewport():
        bpy.ops.flatwright.save_cut_files(directory=str(folder), use_drawings=True, anyway=True)
    yield 0.5
    driver.check("files", sorted(path.name for path in folder.iterdir()))


def again(driver):
    """The sheet is marked as cut; then one part's outline changes."""
    at = yield from driver.find_button("flatwright.mark_as_cut")
    choose(*sheets())
    yield from driver.click(*at)
    yield 0.4
    foot = bpy.data.objects["Foot"]
    driver.check("marked", bool(foot.flatwright_cut.cut))
    outline = foot.flatwright_part.outline
    for point in outline.data.splines[0].bezier_points:
        point.co.x *= 1.1
        point.handle_left.x *= 1.1
        point.handle_right.x *= 1.1
    outline.data.update_tag()
    yield 2.0
    yield from driver.click_button("flatwright.what_again")
    yield 0.6
    driver.check("again", [(r.thing.name, r.reasons) for r in scene().flatwright_recut.found])
    yield from driver.shot("what must be cut again")
    yield from driver.click_button("flatwright.lay_out_again")
    yield from driver.wait_until(lambda: set(labels()) == {"Foot"}, 60.0, "The new sheet")
    with driver.viewport():
        bpy.ops.flatwright.look_at(what="SHEET")
    yield from driver.shot("only these")


def leftovers(driver):
    """What the layout leaves is kept, filled, and named."""
    yield from driver.click_button("flatwright.keep_leftovers")
    yield 0.5
    kept = [o for o in bpy.data.objects if o.flatwright_offcut.stock]
    driver.check("leftovers", [o.name for o in kept])
    kept[0].flatwright_offcut.is_used = True
    yield from driver.click_button("flatwright.lay_out")
    yield from driver.wait_until(
        lambda: any(o.flatwright_sheet.is_offcut for o in sheets()), 60.0, "The filled leftover"
    )
    driver.check("on leftovers", [o.flatwright_sheet.label for o in sheets()])
    with driver.viewport():
        bpy.ops.flatwright.look_at(what="SHEET")
    yield from driver.find_button("flatwright.keep_as_sheet")
    yield from driver.shot("leftover sheets")


def sheets():
    return [o for o in bpy.data.objects if o.flatwright_sheet.role == "SHEET"]


def labels():
    found = [
        o.flatwright_sheet.label for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE"
    ]
    return sorted(found)
