"""A job made stale by hand, brought up to date by one button, and one that fails."""

import time
from importlib import import_module

import bpy
import steps

MM = 1e-3


def scenario(driver):
    yield 1.0
    yield from driver.open_sidebar()
    yield from steps.empty_scene(driver)
    job(driver)
    yield 0.8
    yield from driver.shot("nothing checked")
    driver.check("first", states())
    yield from stale(driver)
    yield from failed(driver)
    yield from drawn_without_the_mouse(driver)
    driver.check("reports", driver.reports())


def core(name):
    return import_module(f"{steps.MODULE}.{name}")


def states():
    graph = core("addon.state.graph")
    return {r: graph.status(bpy.context, r).state for r in ("parts", "check", "sheets", "files")}


def job(driver):
    """A collar round a ball, laid out."""
    with driver.viewport():
        bpy.ops.mesh.primitive_uv_sphere_add(radius=50.0 * MM)
        bpy.context.object.name = "Lamp"
        bpy.ops.flatwright.set_fixture()
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        collar(100.6, "Collar")
        bpy.ops.flatwright.lay_out()
        bpy.ops.ed.undo_push(message="Collar")
        bpy.ops.flatwright.look_at(what="ASSEMBLY")


def collar(bore_mm, name):
    shape = core("geometry.outline").ring(140.0, bore_mm)
    core("addon.outline.outline_objects").add_outline(bpy.context, f"{name} outline", shape)
    bpy.ops.flatwright.make_part()
    bpy.context.object.name = name
    bpy.context.object.location.z = 0.0


def stale(driver):
    bpy.data.objects["Lamp"].location.x = 0.1 * MM
    bpy.context.scene.flatwright_stocks[0].thickness_mm = 2.9
    yield 0.8
    yield from driver.shot("stale")
    driver.check("stale", states())
    yield from driver.click_button("flatwright.bring_up_to_date")
    yield from driver.wait_until(
        lambda: states()["check"] == states()["sheets"] == "current", 30.0, "What is current"
    )
    yield 0.3
    yield from driver.shot("up to date")
    driver.check("updated", states())


def failed(driver):
    with driver.viewport():
        bpy.data.objects["Lamp"].location.x = 5.0 * MM
        bpy.context.view_layer.update()
        bpy.ops.flatwright.check_assembly()
        bpy.ops.flatwright.check_readiness()
        bpy.ops.ed.undo_push(message="Checked")
    yield 0.8
    yield from driver.shot("failed")
    driver.check("failed", states())
    found = bpy.context.scene.flatwright_readiness.findings
    driver.check("findings", [(f.severity, f.sentence) for f in found])
    yield from driver.find_button("flatwright.check_readiness")
    yield from driver.shot("before cutting")


def drawn_without_the_mouse(driver):
    """A job beside the window ends while nobody moves anything: is the sidebar drawn after it?"""
    panel = bpy.types.FLATWRIGHT_PT_files
    drawn, ended = [], []
    draw = panel.draw

    def noted(self, context):
        drawn.append(time.perf_counter())
        draw(self, context)

    panel.draw = noted
    core("addon.state.runner").run_beside(
        lambda progress: time.sleep(0.5), lambda job: ended.append(time.perf_counter())
    )
    yield 1.5
    panel.draw = draw
    driver.check("ended", len(ended))
    driver.check("drawn_after_it", bool(ended) and any(t > ended[0] for t in drawn))
    driver.check("drawn_after_s", min((t - ended[0] for t in drawn if t > ended[0]), default=None))
