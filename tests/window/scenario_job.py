"""From photo to symmetric outline by mouse and keys, then undo, redo, Esc, save and reopen."""

import bpy
import numpy as np
import steps


def scenario(driver):
    yield 1.0
    yield from driver.open_sidebar()
    yield from steps.add_photo(driver)
    yield from driver.shot("photo among the start-up things")
    yield from steps.empty_scene(driver)
    yield from steps.add_photo(driver)
    yield from steps.look_down(driver)
    yield from driver.shot("photo")
    yield from steps.type_thickness(driver, "4.8 mm")
    driver.check("typed_thickness_mm", steps.photo().flatwright_bench.face_height_mm)
    steps.photo().flatwright_bench.face_height_mm = steps.TRUTH["mock_up_thickness_mm"]
    yield from steps.find_grid(driver)
    bench = steps.photo().flatwright_bench
    driver.check("tilt_deg", bench.tilt_deg)
    driver.check("true_tilt_deg", steps.TRUTH["tilt_deg"])
    yield from steps.look_down(driver)
    yield from driver.shot("true scale")
    yield from trace(driver)
    yield from undo_redo(driver)
    yield from symmetric(driver)
    yield from cancel(driver)
    yield from reopen(driver)


def trace(driver):
    yield from driver.click_button("flatwright.trace_outline")
    yield from driver.shot("picking")
    at = steps.window_place(driver, steps.TRUTH["inside_px"])
    driver.check("clicked_at", at)
    with steps.Redraws() as redraws:
        yield from driver.click(*at)
        yield from driver.wait_until(steps.outlines, 90.0, "The outline")
    driver.check("redraws_while_tracing", redraws.count)
    driver.check("longest_wait_while_tracing_s", redraws.longest_wait_s)
    yield from driver.shot("traced")
    (outline,) = steps.outlines()
    driver.check("traced_size_mm", [1e3 * side for side in outline.dimensions])
    rib = np.array(steps.TRUTH["hand_cut_outer_mm"])
    driver.check("true_size_mm", sorted(np.ptp(rib, axis=0).tolist(), reverse=True))
    driver.check("traced_splines", len(outline.data.splines))


def undo_redo(driver):
    view = driver.region()
    yield from driver.move(view.x + 400, view.y + 60)
    yield from driver.key("Z", ctrl=True)
    yield 0.8
    driver.check("outlines_after_undo", len(steps.outlines()))
    driver.check("bench_after_undo", bool(steps.photo().flatwright_bench.record))
    yield from driver.key("Z", ctrl=True, shift=True)
    yield 0.8
    driver.check("outlines_after_redo", len(steps.outlines()))
    yield from driver.shot("redone")


def symmetric(driver):
    yield from driver.click_button("flatwright.make_symmetric")
    yield from driver.wait_until(lambda: len(steps.outlines()) == 2, 60.0, "The symmetric outline")
    yield from driver.shot("symmetric")
    made = next(o for o in steps.outlines() if o.flatwright_outline.symmetry)
    driver.check("hand_was_off_mm", made.flatwright_outline.deviation_max_mm)
    driver.check("true_hand_error_mm", steps.TRUTH["hand_error_max_mm"])
    yield from steps.look_down(driver)
    yield from driver.shot("symmetric from near")


def cancel(driver):
    yield from driver.click_button("flatwright.trace_outline")
    yield from driver.move(*steps.window_place(driver, steps.TRUTH["inside_px"]))
    yield from driver.key("ESC")
    yield 0.3
    # Were picking still on, this click would start a second tracing.
    yield from driver.click(*steps.window_place(driver, steps.TRUTH["inside_px"]))
    yield 3.0
    driver.check("outlines_after_esc", len(steps.outlines()))
    yield from driver.shot("after Esc")


def reopen(driver):
    path = driver.out / "job.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(path), compress=True)
    bpy.ops.wm.read_homefile(use_factory_startup=True, use_empty=True)
    yield 0.5
    bpy.ops.wm.open_mainfile(filepath=str(path))
    yield 1.5
    driver.check("outlines_after_reopening", len(steps.outlines()))
    photo = steps.photo()
    driver.check("bench_after_reopening", bool(photo.flatwright_bench.record))
    original = photo.flatwright_photo.original
    same = bytes(original.packed_file.data) == (steps.DEMO / steps.TRUTH["photo"]).read_bytes()
    driver.check("same_photo_after_reopening", same)
    yield from driver.shot("reopened")
