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
    yield 0.3
    yield from driver.shot("no photo")
    driver.check("reports_of_no_photo", driver.reports())
    driver.check("objects_of_no_photo", len(bpy.data.objects))
    yield from steps.add_photo(driver)
    yield from steps.find_grid(driver)
    yield from steps.look_down(driver)
    yield from driver.click_button("flatwright.trace_outline")
    x, y = steps.window_place(driver, steps.TRUTH["size_px"])
    inside = steps.window_place(driver, steps.TRUTH["inside_px"])
    # Halfway from the part's middle to the photo's corner there is only mat.
    yield from driver.click(x + 0.25 * (inside[0] - x), y + 0.25 * (inside[1] - y))
    yield from driver.wait_until(lambda: "rror" in driver.reports(), 60.0, "The error")
    yield from driver.shot("bare mat")
    driver.check("reports_of_bare_mat", driver.reports())
    driver.check("outlines", len(steps.outlines()))
