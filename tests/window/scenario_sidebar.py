"""Open the sidebar and look at the Flatwright tab."""

import bpy


def scenario(driver):
    yield 1.0
    driver.check("enabled", "bl_ext.user_default.flatwright" in bpy.context.preferences.addons)
    driver.check("operators", [n for n in dir(bpy.ops.flatwright) if not n.startswith("_")])
    yield from driver.shot("start")
    yield from driver.open_sidebar()
    side = driver.region("UI")
    driver.check("tab", side.active_panel_category)
    driver.check("sidebar", (side.x, side.y, side.x + side.width, side.y + side.height))
    yield from driver.shot("sidebar")
    found = yield from driver.find_button("flatwright.add_photo")
    driver.check("add_photo_at", found)
