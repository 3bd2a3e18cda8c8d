"""Click on the bare mat instead of the part, and add a file that is no photo."""

import bpy
import steps


def scenario(driver):
    yield 1.0
    yield from driver.open_sidebar()
    yield from steps.empty_scene(driver)
    not_a_photo = driver.out / "note.jpg"
    not_a_photo.write_text("Not a photo at all.")
    with driver.viewport():
        bpy.ops.flatwright.add_photo("INVOKE_DEFAULT", filepath=str(not_a_photo))
    yield 1.5
    driver.check("said_of_no_photo", driver.reports())
    driver.check("objects_of_no_photo", len(bpy.data.objects))
    yield from steps.add_photo(driver)
    yield from stop_finding(driver)
    yield from steps.find_grid(driver)
    yield from steps.look_down(driver)
    yield from driver.click_button("flatwright.trace_outline")
    x, y = steps.window_place(driver, steps.TRUTH["size_px"])
    inside = steps.window_place(driver, steps.TRUTH["inside_px"])
    told = driver.reports()
    # Halfway from the part's middle to the photo's corner there is only mat.
    yield from driver.click(x + 0.25 * (inside[0] - x), y + 0.25 * (inside[1] - y))
    yield from driver.wait_until(lambda: driver.reports() != told, 30.0, "The answer")
    yield from driver.shot("bare mat")
    driver.check("reports_of_bare_mat", driver.reports())
    yield from click_beside(driver)
    driver.check("outlines", len(steps.outlines()))


def stop_finding(driver):
    """Press Esc soon after Find Grid was clicked."""
    yield from driver.click_button("flatwright.find_grid")
    yield 0.3
    yield from driver.key("ESC")
    yield 8.0
    driver.check("bench_after_esc", steps.photo().flatwright_bench.record)
    driver.check("reports_of_esc", driver.reports())


def click_beside(driver):
    """While a place in the part is asked for, click on the sidebar that lies over the view."""
    yield from driver.click_button("flatwright.trace_outline")
    side = driver.region("UI")
    yield from driver.click(side.x + 40, side.y + 30)
    yield 3.0
    driver.check("reports_of_sidebar", driver.reports())
    driver.check("outlines_of_sidebar", len(steps.outlines()))
    yield from driver.key("ESC")
