"""A length and a rectangle marked by hand, dragged, undone, held against the grid, kept."""

from importlib import import_module
from pathlib import Path

import bpy
import steps

ENDS_MM = [(60.0, 60.0), (260.0, 60.0)]
CORNERS_MM = [(50.0, 150.0), (250.0, 150.0), (250.0, 50.0), (50.0, 50.0)]


def settings():
    return steps.photo().flatwright_bench


def marks():
    kept = import_module(f"{steps.MODULE}.addon.bench.reference_record").kept_references
    return [[round(c, 2) for c in mark] for one in kept(steps.photo()) for mark in one.marks_px]


def scenario(driver):
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    yield from steps.add_photo(driver)
    yield from mark(driver, "LENGTH", ENDS_MM, "flatwright.mark_length", "marking", length_mm=200.0)
    yield from driver.shot("length")
    driver.check("length marks", marks())
    driver.check("length asked", [steps.seen_px(place) for place in ENDS_MM])
    yield from move(driver)
    yield from rectangle(driver)
    yield from against_the_grid(driver)
    yield from reopen(driver)


def mark(driver, reference, places_mm, operator, picture, **typed):
    """Click the button, then each place, then confirm what the panel already says."""
    for name, value in {"reference": reference, **typed}.items():
        setattr(settings(), name, value)
    with driver.viewport():
        # What a script sets is no step of undo by itself.
        bpy.ops.ed.undo_push(message="Settings")
    record, kept = settings().record, len(settings().references)
    yield from driver.click_button(operator)
    for place in places_mm[:-1]:
        yield from driver.click(*steps.place_of_px(driver, steps.seen_px(place)))
    yield from driver.move(*steps.place_of_px(driver, steps.seen_px(places_mm[-1])))
    yield 0.8
    yield from driver.shot(picture)
    yield from driver.click(*steps.place_of_px(driver, steps.seen_px(places_mm[-1])))
    yield 0.5
    yield from driver.key("RET")
    yield from driver.wait_until(
        lambda: settings().record != record or len(settings().references) != kept,
        30.0,
        f"The bench of {operator}",
    )
    yield 0.4


def beside(place, off=(60.0, 40.0)):
    return tuple(a + b for a, b in zip(place, off, strict=True))


def move(driver):
    before, record = marks(), settings().record
    start = steps.place_of_px(driver, before[1])
    yield from driver.click_button("flatwright.move_marks")
    yield from steps.drag_and_look(driver, start, beside(start), "dragging", let_go=False)
    driver.check("after esc", marks() == before and settings().record == record)
    yield from driver.click_button("flatwright.move_marks")
    start = steps.place_of_px(driver, before[1])
    with steps.Redraws() as redraws:
        yield from steps.drag_and_look(driver, start, beside(start, (50.0, 70.0)), "moving")
        yield from driver.wait_until(lambda: settings().record != record, 30.0, "The moved bench")
    driver.check("longest wait while moving s", redraws.longest_wait_s)
    yield 0.5
    driver.check("moved", marks())
    # The mark lies where it was let go, though the picture was laid out anew.
    x, y = steps.place_of_px(driver, marks()[1])
    driver.check("under the mouse", max(abs(x - driver.mouse[0]), abs(y - driver.mouse[1])) < 3.0)
    yield from driver.shot("moved")
    view = driver.region()
    yield from driver.move(view.x + 80, view.y + 80)
    yield from driver.key("Z", ctrl=True)
    yield 0.5
    driver.check("undone", marks() == before and settings().record == record)


def rectangle(driver):
    yield from mark(
        driver,
        "RECTANGLE",
        CORNERS_MM,
        "flatwright.mark_rectangle",
        "corners",
        sheet="CELLS",
        columns=20,
        rows=10,
        pitch_mm=10.0,
    )
    yield from driver.shot("rectangle")
    driver.check("tilt", settings().tilt_deg)
    # The length stays, held against the rectangle.
    driver.check("misfits", [one.misfit_mm for one in settings().references])
    driver.check("said of the rectangle", settings().contradictions)


def against_the_grid(driver):
    settings().reference = "GRID"
    with driver.viewport():
        bpy.ops.flatwright.find_grid()
    yield 0.5
    settings().show_residuals = True
    yield from mark(
        driver, "GRID", [(70.0, 190.0), (150.0, 190.0)], "flatwright.add_length", "adding",
        length_mm=82.0,
    )  # fmt: skip
    driver.check("said", settings().contradictions)
    yield from driver.find_button("flatwright.add_length")
    yield from driver.shot("misses")


def reopen(driver):
    before = marks()
    path = str(Path(driver.out) / "marks.blend")
    with driver.viewport():
        bpy.ops.wm.save_as_mainfile(filepath=path)
        bpy.ops.wm.open_mainfile(filepath=path)
    yield 1.0
    driver.check("reopened", marks() == before and len(settings().references) == 3)
    driver.check("marks kept", len(before))
