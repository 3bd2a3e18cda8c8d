"""Look at the sidebar in every unit, twice as large, in a light theme and in German."""

from pathlib import Path

import bpy
import steps


def scenario(driver):
    yield 1.0
    with driver.viewport():
        bpy.ops.screen.screen_full_area()
    yield 0.5
    yield from driver.open_sidebar()
    yield from steps.outline_without_clicks(driver)
    with driver.viewport():
        bpy.ops.flatwright.make_part()
    yield from steps.look_down(driver)
    yield from units(driver)
    yield from looks(driver)


def show(driver, name):
    """A picture of the thickness in the part's panel, and what is there as text."""
    yield from driver.find_button("flatwright.make_part")
    side = driver.region("UI")
    driver.check(f"sidebar {name}", (side.x, side.y, side.x + side.width, side.y + side.height))
    yield from driver.move(driver.region().x + 120, driver.region().y + 60)
    yield from driver.shot(name)


def units(driver):
    settings = bpy.context.scene.unit_settings
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.thickness_mm = 2.9
    driver.open_stage("part")
    yield from driver.find_copied("2.9 mm", 0.7)
    yield from show(driver, "millimetres")
    settings.system, settings.length_unit = "IMPERIAL", "INCHES"
    yield 0.3
    yield from driver.find_copied("0.114", 0.7)
    yield from show(driver, "inches")
    settings.system, settings.length_unit = "METRIC", "METERS"
    settings.scale_length = 0.001
    yield 0.3
    driver.check("thickness in units", stock.thickness)
    yield from driver.find_copied("0.0029 m", 0.7)
    yield from show(driver, "metres of a thousandth")
    driver.check("kept thickness", stock.thickness_mm)
    settings.length_unit, settings.scale_length = "MILLIMETERS", 1.0


def looks(driver):
    preferences = bpy.context.preferences
    preferences.view.ui_scale = 2.0
    yield 1.0
    yield from show(driver, "twice as large")
    preferences.view.ui_scale = 1.0
    yield 0.5
    preferences.view.language = "de_DE" if bpy.app.version < (5, 0) else "de"
    yield 0.5
    driver.check("german", bpy.app.translations.pgettext_iface("Grid Pitch"))
    driver.check(
        "german operator", bpy.app.translations.pgettext_iface("Cross-Lap Parts", "Flatwright")
    )
    driver.check("german slot", bpy.app.translations.pgettext_iface("Slot", "Flatwright"))
    yield from show(driver, "german")
    yield from driver.find_button("flatwright.check_assembly")
    yield from driver.shot("german assembly")
    bpy.ops.preferences.addon_disable(module=steps.MODULE)
    driver.check("german when off", bpy.app.translations.pgettext_iface("Grid Pitch"))
    bpy.ops.preferences.addon_enable(module=steps.MODULE)
    preferences.view.language = "en_US"
    yield 0.5
    with driver.viewport():
        bpy.ops.script.execute_preset(
            filepath=light_theme(), menu_idname="USERPREF_MT_interface_theme_presets"
        )
    yield 0.5
    yield from show(driver, "light")


def light_theme():
    folders = bpy.utils.preset_paths("interface_theme")
    return str(next(path for folder in folders for path in Path(folder).glob("*Light.xml")))
