"""Suggestions, sizes, the hand's error, a half, a node moved, a file read; each undone."""

from importlib import import_module
from pathlib import Path

import bpy
import steps

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">'
    '<path d="M 0 0 H 40 V 30 H 0 Z"/><circle cx="20" cy="15" r="6"/></svg>'
)


def core(name):
    return import_module(f"{steps.MODULE}.{name}")


def profile_of(name):
    curves = core("addon.blender.curves")
    return curves.read_profile(bpy.data.objects[name].data)


def width(name):
    x0, _, x1, _ = profile_of(name).bounds_mm
    return round(x1 - x0, 3)


def scenario(driver):
    steps.open_folds("suggestions", "outline_drawn")
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    hand_cut(driver)
    yield 0.5
    yield from suggestions(driver)
    yield from symmetric(driver)
    yield from clicked_axis(driver)
    yield from half(driver)
    yield from imported(driver)
    yield from edited(driver)
    yield from reopened(driver)


def push(driver, message):
    """What a script does is no step of undo by itself."""
    with driver.viewport():
        bpy.ops.ed.undo_push(message=message)


def hand_cut(driver):
    outlines, shapes = core("addon.outline.outline_objects"), core("geometry.outline")
    corners = [(-30.0, -20.0), (30.3, -19.95), (30.0, 20.1), (-30.1, 20.0)]
    shape = shapes.Profile(shapes.Loop.through(corners), (shapes.circle(14.0, (0.2, 3.0)).outer,))
    with driver.viewport():
        outlines.add_outline(bpy.context, "Plate", shape)
        bpy.ops.view3d.view_axis(type="TOP")
    view = driver.area.spaces.active
    view.overlay.show_floor = False
    view.region_3d.view_location, view.region_3d.view_distance = (0.012, 0.0, 0.0), 0.16
    push(driver, "Plate")


def undo(driver, times=1):
    view = driver.region()
    yield from driver.move(view.x + 80, view.y + 80)
    for _ in range(times):
        yield from driver.key("Z", ctrl=True)
        yield 0.4


def corners(name):
    return sorted((round(x, 3), round(y, 3)) for x, y in profile_of(name).outer.nodes().tolist())


def choose(name):
    for thing in bpy.context.selected_objects:
        thing.select_set(False)
    thing = bpy.data.objects[name]
    thing.hide_set(False)
    thing.select_set(True)
    bpy.context.view_layer.objects.active = thing


def suggestions(driver):
    before = corners("Plate")
    with driver.viewport():
        bpy.ops.flatwright.suggest(doubt_mm=0.5)
    bpy.data.objects["Plate"].flatwright_outline.show_sizes = True
    push(driver, "Suggest")
    driver.check("suggested", len(bpy.data.objects["Plate"].flatwright_suggestions.items))
    yield from driver.shot("suggestions")
    yield from driver.click_button("flatwright.accept_suggestion")
    yield 0.5
    after = corners("Plate")
    driver.check("accepted", [after != before, len({x for x, _ in after})])
    yield from driver.shot("accepted")
    yield from undo(driver)
    driver.check("acceptance undone", corners("Plate") == before)


def symmetric(driver):
    bpy.data.objects["Plate"].flatwright_outline.show_sizes = False
    choose("Plate")
    yield from driver.click_button("flatwright.make_symmetric")
    yield from driver.wait_until(lambda: len(steps.outlines()) == 2, 20.0, "The symmetric outline")
    yield 0.5
    made = bpy.context.object
    driver.check("hand was off", round(made.flatwright_outline.deviation_max_mm, 3))
    yield from driver.shot("hand's error")
    made.flatwright_outline.show_deviation = False
    yield from driver.shot("hand's error hidden")
    yield from undo(driver)
    driver.check("symmetry undone", [o.name for o in steps.outlines()])


def clicked_axis(driver):
    choose("Plate")
    with driver.viewport():
        bpy.ops.flatwright.make_symmetric("INVOKE_DEFAULT", place="points")
    region = driver.region()
    screen = core("addon.blender.screen")
    view = driver.area.spaces.active.region_3d
    world = bpy.data.objects["Plate"].matrix_world
    ends = screen.region_points(world, [(0.0, -15.0), (0.0, 15.0)], region, view)
    (ax, ay), (bx, by) = ends.tolist()
    yield from driver.click(region.x + ax, region.y + ay)
    yield from driver.move(region.x + bx, region.y + by - 30)
    yield from driver.shot("axis")
    yield from driver.click(region.x + bx, region.y + by)
    yield from driver.wait_until(lambda: len(steps.outlines()) == 2, 20.0, "The symmetric outline")
    yield 0.5
    driver.check("axis clicked", bpy.context.object.flatwright_outline.symmetry)
    yield from undo(driver)
    driver.check("clicked undone", [o.name for o in steps.outlines()])


def half(driver):
    curve = bpy.data.curves.new("Half", "CURVE")
    curve.dimensions = "2D"
    spline = curve.splines.new("BEZIER")
    spline.bezier_points.add(3)
    places = [(0.05, -0.03), (0.075, -0.02), (0.07, 0.02), (0.05, 0.03)]
    for point, (x, y) in zip(spline.bezier_points, places, strict=True):
        point.co = (x, y, 0.0)
        point.handle_left_type = point.handle_right_type = "AUTO"
    thing = bpy.data.objects.new("Half", curve)
    bpy.context.scene.collection.objects.link(thing)
    choose("Half")
    push(driver, "Half")
    yield 0.5
    yield from driver.shot("half")
    yield from driver.click_button("flatwright.make_whole")
    yield 0.4
    driver.check("whole", bpy.data.objects["Half"].data.splines[0].use_cyclic_u)
    yield from driver.shot("whole")
    yield from undo(driver)
    driver.check("whole undone", bpy.data.objects["Half"].data.splines[0].use_cyclic_u)
    bpy.data.objects["Half"].hide_set(True)


def imported(driver):
    path = driver.out / "plate.svg"
    path.write_text(SVG)
    count = len(steps.outlines())
    with driver.viewport():
        bpy.ops.flatwright.import_outline("INVOKE_DEFAULT", filepath=str(path))
    yield from driver.wait_until(lambda: len(steps.outlines()) > count, 20.0, "The import")
    yield 0.3
    thing = bpy.context.object
    driver.check("imported", [width(thing.name), len(profile_of(thing.name).holes)])
    yield from driver.shot("imported")
    yield from undo(driver)
    driver.check("import undone", len(steps.outlines()) == count)


def part():
    return next(o for o in bpy.data.objects if o.flatwright_part.is_part)


def edited(driver):
    """Make a part, then move a node of its outline with the keys: Tab, G, X, a number, Enter."""
    choose("Plate")
    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        bpy.ops.flatwright.make_part()
    choose("Plate")
    view = driver.region()
    yield from driver.move(view.x + 120, view.y + 120)
    push(driver, "Part")
    driver.check("part before", width(part().name))
    yield from driver.key("TAB")
    yield 0.4
    outer = bpy.context.object.data.splines[0].bezier_points
    for spline in bpy.context.object.data.splines:
        for point in spline.bezier_points:
            point.select_control_point = point.select_left_handle = False
            point.select_right_handle = False
    for point in outer:
        if point.co.x > 0.0:
            point.select_control_point = point.select_left_handle = True
            point.select_right_handle = True
    bpy.data.objects["Plate"].flatwright_outline.show_sizes = True
    yield from driver.shot("nodes")
    yield from driver.key("G")
    yield from driver.key("X")
    yield from driver.type_text("5")
    yield from driver.key("RET")
    yield 0.4
    yield from driver.key("TAB")
    yield from driver.wait_until(lambda: width(part().name) > 62.0, 20.0, "The part following")
    driver.check("part after", width(part().name))
    driver.check("hole stays an arc", profile_of(part().name).holes[0].is_circle)
    yield from driver.shot("followed")


def reopened(driver):
    path = str(Path(driver.out) / "outline.blend")
    before = width(part().name)
    with driver.viewport():
        bpy.ops.wm.save_as_mainfile(filepath=path)
        bpy.ops.wm.open_mainfile(filepath=path)
    yield 1.0
    driver.check("reopened", [width(part().name) == before, width("Plate")])
    radius = profile_of(part().name).holes[0].segments[0].radius_mm
    driver.check("radius", round(radius, 5))
