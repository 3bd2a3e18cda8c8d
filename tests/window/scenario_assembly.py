"""Stand ribs around a globe, lap a ring and check, with the sidebar's buttons and dialogs."""

import bpy
import steps

GLOBE_UP_M, GLOBE_RADIUS_M = 0.14, 0.1


def scenario(driver):
    yield 1.0
    yield from driver.open_sidebar()
    yield from steps.outline_without_clicks(driver)
    with driver.viewport():
        bpy.ops.flatwright.make_part()
        rib = bpy.context.object
        bpy.ops.mesh.primitive_uv_sphere_add(
            segments=96, ring_count=48, radius=GLOBE_RADIUS_M, location=(0, 0, GLOBE_UP_M)
        )
    yield from driver.click_button("flatwright.set_fixture")
    fixture = bpy.context.scene.flatwright_assembly.fixture
    driver.check("fixture", fixture.name if fixture else None)
    fixture.select_set(False)
    rib.select_set(True)
    bpy.context.view_layer.objects.active = rib
    yield 0.3
    yield from stand(driver)
    yield from ring(driver)
    yield from lap_and_check(driver)


def stand(driver):
    yield from driver.click_button("flatwright.stand_around")
    yield from driver.shot("stand dialog")
    yield from driver.key("RET")
    yield from driver.wait_until(lambda: len(steps.parts()) == 6, 20.0, "Standing six ribs")
    with driver.viewport():
        bpy.ops.view3d.view_axis(type="FRONT")
        view = driver.area.spaces.active.region_3d
        view.view_location, view.view_distance = (0.0, 0.0, 0.1), 0.7
    yield from driver.shot("ribs")


def ring(driver):
    bpy.context.scene.cursor.location.z = 0.09
    yield from driver.click_button("flatwright.ring_around_fixture")
    yield from driver.shot("ring dialog")
    yield from driver.key("RET")
    yield from driver.wait_until(lambda: len(steps.parts()) == 7, 20.0, "The ring")


def lap_and_check(driver):
    for thing in bpy.context.selected_objects:
        thing.select_set(False)
    yield from driver.click_button("flatwright.join_parts")
    yield 1.0
    settings = bpy.context.scene.flatwright_assembly
    driver.check("joints", len(settings.joints))
    yield from driver.click_button("flatwright.check_assembly")
    yield from driver.wait_until(
        lambda: bpy.context.scene.flatwright_assembly.checked, 90.0, "The check"
    )
    yield from driver.shot("checked")
    driver.check("reports", driver.reports())
