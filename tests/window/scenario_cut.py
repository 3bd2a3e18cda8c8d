"""From a traced outline to cut files on disk, with the sidebar's own buttons."""

import bpy
import steps


def scenario(driver):
    yield 1.0
    yield from driver.open_sidebar()
    yield from steps.outline_without_clicks(driver)
    yield from steps.look_down(driver)
    yield from driver.shot("stock")
    yield from driver.click_button("flatwright.make_part")
    yield from driver.wait_until(steps.parts, 30.0, "The part")
    yield from driver.shot("part")
    yield from driver.click_button("flatwright.lay_out")
    yield from driver.wait_until(sheets, 60.0, "The sheet")
    yield 0.5
    driver.check("sheets", len(sheets()))
    with driver.viewport():
        bpy.ops.view3d.view_all()
    yield from driver.shot("sheet")
    folder = driver.out / "cut"
    folder.mkdir()
    with driver.viewport():
        bpy.ops.flatwright.save_cut_files("INVOKE_DEFAULT", directory=str(folder))
    yield from driver.wait_until(lambda: list(folder.glob("*.dxf")), 60.0, "The DXF file")
    yield 2.0
    driver.check("files", sorted(path.name for path in folder.iterdir()))
    yield from driver.shot("saved")
    driver.check("reports", driver.reports())


def sheets():
    return [o for o in bpy.data.objects if o.flatwright_sheet.role == "SHEET"]
