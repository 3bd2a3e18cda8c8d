"""A mock-up traced in a poor photo, made a part, and taken again from a better one."""

import sys
import tempfile
from pathlib import Path

import bpy
import steps

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

HEIGHT_MM = 0.5
PLATE = [(-60.0, -40.0), (60.0, -40.0), (60.0, 10.0), (25.0, 42.0), (-25.0, 42.0), (-60.0, 10.0)]
MOVED_MM = 1.5
"""How much the mock-up's lower edge is trimmed between the photos."""
STOOL_MM, LADDER_MM = 640.0, 330.0
"""How far the camera stands off the mat in either photo."""


def photos_of(folder):
    """Write a photo from far off and aslant, and a near one of the plate trimmed.

    Return their paths and where in each the plate's middle is, px.
    """
    from tests.core.long_mockup import camera_at, photographed

    trimmed = [(x, y + MOVED_MM if y == -40.0 else y) for x, y in PLATE]
    views = {
        "far": (camera_at(40.0, -210.0, STOOL_MM, lean=(-0.3, 0.05), turn=0.5), PLATE),
        "near": (camera_at(5.0, 10.0, LADDER_MM, lean=(0.03, -0.04), turn=-0.2), trimmed),
    }
    written = []
    for name, (camera, outline) in views.items():
        path = folder / f"{name}.png"
        photo = photographed(camera, height_mm=HEIGHT_MM, finer=1, outline=outline)
        steps.save_picture(photo.pixels, path)
        written.append((path, camera.project([[0.0, 0.0]], HEIGHT_MM)[0]))
    return written


def add_with_scale(driver, path):
    """Add a photo and find its grid by its button; only the file dialog is passed by."""
    with driver.viewport():
        bpy.ops.flatwright.add_photo("INVOKE_DEFAULT", filepath=str(path))
    yield from driver.wait_until(lambda: path.stem in bpy.data.objects, 30.0, f"Adding {path.stem}")
    yield 0.3
    thing = bpy.data.objects[path.stem]
    thing.flatwright_bench.face_height_mm = HEIGHT_MM
    yield from driver.click_button("flatwright.find_grid")
    yield from driver.wait_until(lambda: thing.flatwright_bench.record, 90.0, f"Scale: {path.stem}")
    yield 0.5


def click_in(driver, operator, name, middle_px):
    yield from driver.click_button(operator)
    yield 0.3
    at = steps.place_of_px(driver, middle_px, bpy.data.objects[name])
    yield from driver.move(*at)
    yield from driver.shot(f"{operator.split('.')[1]} asks")
    yield from driver.click(*at)


def pick(driver, *things):
    """Select things, the last of them active."""
    with driver.viewport():
        bpy.ops.object.select_all(action="DESELECT")
        for thing in things:
            thing.select_set(True)
        bpy.context.view_layer.objects.active = things[-1]
    yield 0.3


def first_part(driver, middle_px):
    """Trace the plate by a click, and make a part of its mean of both sides."""
    yield from click_in(driver, "flatwright.trace_outline", "far", middle_px)
    yield from driver.wait_until(steps.outlines, 90.0, "The outline")
    yield 0.5
    yield from driver.key("ESC")
    yield from pick(driver, *steps.outlines())
    yield from driver.click_button("flatwright.make_symmetric")
    yield from driver.wait_until(symmetric, 60.0, "The axis")
    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    yield from driver.click_button("flatwright.make_part")
    yield from driver.wait_until(steps.parts, 30.0, "The part")
    yield from driver.shot("part of the far photo")


def symmetric():
    """The outline that knows what it was before it was made symmetric, if there is one yet."""
    return next((thing for thing in steps.outlines() if thing.flatwright_outline.traced), None)


def is_retaken():
    return symmetric().flatwright_outline.photo.name == "near"


def size_mm(thing):
    return [1e3 * side for side in thing.dimensions[:2]]


def scenario(driver):
    steps.open_folds("doubts")
    yield 1.0
    with driver.viewport():
        bpy.ops.screen.screen_full_area()
    yield 0.5
    yield from driver.open_sidebar()
    yield from steps.empty_scene(driver)
    (far, far_px), (near, near_px) = photos_of(Path(tempfile.mkdtemp()))
    yield from add_with_scale(driver, far)
    yield from first_part(driver, far_px)
    names = sorted(thing.name for thing in (*steps.outlines(), *steps.parts()))
    driver.check("before_mm", size_mm(symmetric()))
    yield from add_with_scale(driver, near)
    yield from driver.shot("better photo")
    yield from pick(driver, symmetric())
    driver.open_stage("outline")
    yield from click_in(driver, "flatwright.retake", "near", near_px)
    yield from driver.wait_until(is_retaken, 90.0, "The retake")
    yield 1.0
    yield from driver.shot("taken again")
    was = size_mm(symmetric())
    yield from driver.click_button("flatwright.bring_up_to_date")
    yield from driver.wait_until(lambda: size_mm(symmetric()) != was, 60.0, "The symmetry")
    yield 1.0
    yield from driver.shot("brought up to date")
    driver.check("after_mm", size_mm(symmetric()))
    driver.check("part_mm", size_mm(steps.parts()[0]))
    after = sorted(thing.name for thing in (*steps.outlines(), *steps.parts()))
    driver.check("names", [names, after])
    driver.open_stage("part")
    yield 0.5
    yield from driver.shot("part is told")
