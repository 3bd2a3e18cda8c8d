"""Further clicks on a trace and a drawn line, in a photo with tape, a spot and a pen line on it.

Then every tool that waits for the mouse is given up.
"""

import json
from importlib import import_module

import bpy
import scenario_escape
import steps

TAPE_MM = [(239.0, 150.0), (258.0, 150.0), (258.0, 164.0), (239.0, 164.0)]
SPOT_MM, SPOT_RADIUS_MM = (239.0, 128.0), 0.9
PAPER_MM = [(60.0, 120.0), (120.0, 120.0), (120.0, 180.0), (60.0, 180.0)]
LINE_MM, LINE_RADIUS_MM = (90.0, 150.0), 20.0


def scenario(driver):
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    steps.open_folds("outline_drawn")
    with driver.viewport():
        bpy.ops.flatwright.add_photo(filepath=painted(driver.out))
        photo().flatwright_bench.face_height_mm = steps.TRUTH["mock_up_thickness_mm"]
        bpy.ops.flatwright.find_grid()
        bpy.ops.flatwright.look_at(what="BENCH")
        bpy.ops.flatwright.trace_outline(inside_px=steps.shown_px(steps.TRUTH["inside_px"]))
        bpy.ops.ed.undo_push(message="Traced")
    yield 0.5
    yield from driver.shot("traced")
    yield from one_more(driver, "flatwright.add_to_trace", (246.0, 157.0), "added")
    yield from one_more(driver, "flatwright.remove_from_trace", SPOT_MM, "removed")
    yield from drawn(driver)
    yield from scenario_escape.give_up_tools(driver)


def painted(folder):
    """The demo's photo with a strip of tape over the part's edge, a spot, and a circle in pen."""
    from PIL import Image, ImageDraw

    def around(middle, radius):
        turns = [k / 60.0 * 6.283185307 for k in range(61)]
        from math import cos, sin

        return [
            steps.seen_px((middle[0] + radius * cos(t), middle[1] + radius * sin(t))) for t in turns
        ]

    with Image.open(steps.DEMO / steps.TRUTH["photo"]) as taken:
        exif, picture = taken.getexif(), taken.convert("RGB")
    draw = ImageDraw.Draw(picture)
    draw.polygon([steps.seen_px(p) for p in TAPE_MM], fill=(52, 96, 176))
    draw.polygon(around(SPOT_MM, SPOT_RADIUS_MM), fill=(40, 38, 36))
    draw.polygon([steps.seen_px(p) for p in PAPER_MM], fill=(226, 224, 218))
    draw.line(around(LINE_MM, LINE_RADIUS_MM), fill=(30, 34, 60), width=7, joint="curve")
    # Half as large, a quarter as long to draw.
    picture = picture.resize((picture.width // 2, picture.height // 2), Image.Resampling.BOX)
    path = folder / "painted.jpg"
    picture.save(path, quality=92, exif=exif)
    return str(path)


def photo():
    return steps.photo()


def core(name):
    return import_module(f"{steps.MODULE}.{name}")


def state():
    """Every outline as it is, with its clicks."""
    read = core("geometry.outline.curves.record").profile_to_record
    curves = core("addon.blender.curves")
    found = {
        o.name: [read(curves.read_profile(o.data)), len(o.flatwright_outline.clicks)]
        for o in steps.outlines()
    }
    return json.dumps([found, photo().flatwright_bench.record, len(bpy.data.objects)])


def area(name):
    profile = core("addon.blender.curves").read_profile(bpy.data.objects[name].data)
    holes = sorted(round(-hole.signed_area_mm2, 2) for hole in profile.holes)
    return [round(profile.area_mm2, 2), holes]


def undo(driver):
    view = driver.region()
    yield from driver.move(view.x + 90, view.y + 90)
    yield from driver.key("Z", ctrl=True)
    yield 0.5


def one_more(driver, operator, place_mm, name):
    outline = bpy.context.object.name
    before, was = state(), area(outline)
    yield from driver.click_button(operator)
    px = steps.shown_px(steps.seen_px(place_mm))
    yield from driver.click(*steps.place_of_px(driver, px))
    yield from driver.wait_until(lambda: state() != before, 60.0, operator)
    yield 0.4
    driver.check(name, [was, area(outline)])
    yield from driver.shot(name)
    yield from undo(driver)
    driver.check(f"{name} undone", state() == before)


def drawn(driver):
    before, count = state(), len(steps.outlines())
    yield from driver.click_button("flatwright.trace_drawn")
    px = steps.shown_px(steps.seen_px(LINE_MM))
    yield from driver.click(*steps.place_of_px(driver, px))
    yield from driver.wait_until(lambda: len(steps.outlines()) > count, 60.0, "The drawn line")
    yield 0.4
    profile = core("addon.blender.curves").read_profile(bpy.context.object.data)
    x0, y0, x1, y1 = profile.bounds_mm
    driver.check("drawn", [round(x1 - x0, 2), round(y1 - y0, 2), round(profile.area_mm2, 1)])
    yield from driver.shot("drawn")
    yield from undo(driver)
    driver.check("drawn undone", state() == before)
