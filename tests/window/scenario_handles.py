"""Handles in the viewport: a mark and a symmetry axis pressed, dragged, given up and undone."""

import sys
from importlib import import_module

import bpy
import scenario_outline
import steps
from bpy_extras.view3d_utils import location_3d_to_region_2d

ENDS_MM = [(60.0, 60.0), (260.0, 60.0)]


def core(name):
    return import_module(f"{steps.MODULE}.{name}")


def scenario(driver):
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from steps.add_photo(driver)
    yield from marks(driver)
    yield from axis(driver)
    yield from units(driver)
    yield from centre(driver)
    yield from switched(driver)


def away(driver):
    view = driver.region()
    yield from driver.move(view.x + 90, view.y + 90)


def undo(driver):
    yield from away(driver)
    yield from driver.key("Z", ctrl=True)
    yield 0.5


# Marks -------------------------------------------------------------------------------------


def kept_marks():
    kept = core("addon.bench.reference_record").kept_references
    return [[round(c, 2) for c in mark] for one in kept(steps.photo()) for mark in one.marks_px]


def record():
    return steps.photo().flatwright_bench.record


def marks(driver):
    with driver.viewport():
        bpy.ops.flatwright.mark_length(
            a_px=steps.seen_px(ENDS_MM[0]), b_px=steps.seen_px(ENDS_MM[1]), length=0.2
        )
        bpy.ops.flatwright.look_at(what="BENCH")
    scenario_outline.push(driver, "Length")
    before, scale = kept_marks(), record()
    yield from away(driver)
    yield from driver.shot("marks")
    start = steps.place_of_px(driver, before[1])
    # Five pixels beside the cross and no press: the ring fills under the mouse.
    yield from driver.move(start[0] + 5, start[1] - 4)
    yield 0.4
    yield from driver.shot("hovered")
    end = (start[0] - 70, start[1] + 45)
    yield from steps.drag_and_look(
        driver, start, (start[0] + 50, start[1] + 60), "mark given up", let_go=False
    )
    driver.check("mark after esc", kept_marks() == before and record() == scale)
    yield from driver.click(*start)
    yield 0.3
    driver.check("mark after a mere click", kept_marks() == before and record() == scale)
    yield from steps.drag_and_look(driver, start, end, "mark dragged")
    yield from driver.wait_until(lambda: record() != scale, 30.0, "The moved bench")
    yield 0.5
    driver.check("mark moved", [before, kept_marks()])
    x, y = steps.place_of_px(driver, kept_marks()[1])
    driver.check("mark under the mouse", max(abs(x - end[0]), abs(y - end[1])))
    yield from undo(driver)
    driver.check("mark undone", kept_marks() == before and record() == scale)


# An axis -----------------------------------------------------------------------------------


def outline():
    thing = bpy.context.view_layer.objects.active
    assert thing.flatwright_outline.symmetry
    return thing


def about():
    kept = core("addon.outline.axis_record").kept_axis(outline()).about
    point, angle = (kept.point, kept.angle_rad) if hasattr(kept, "point") else (kept, 0.0)
    return [round(c, 3) for c in (*point, angle)]


def shape():
    return sorted(
        (round(x, 4), round(y, 4))
        for x, y in core("addon.blender.curves").read_profile(outline().data).outer.nodes().tolist()
    )


def place(driver, which):
    """Where in the window a handle is."""
    axes, region = core("addon.outline.axis_record"), driver.region()
    at = axes.handle_place(outline(), getattr(axes.axis_handles(outline()), which))
    seen = location_3d_to_region_2d(region, driver.area.spaces.active.region_3d, at)
    return (region.x + seen.x, region.y + seen.y)


def axis(driver):
    yield from steps.empty_scene(driver)
    scenario_outline.hand_cut(driver)
    with driver.viewport():
        bpy.ops.flatwright.make_symmetric()
    scenario_outline.push(driver, "Symmetric")
    yield from away(driver)
    yield from driver.shot("axis")
    before, nodes = about(), shape()
    start = place(driver, "end")
    end = (start[0] + 40, start[1])
    yield from steps.drag_and_look(driver, start, end, "axis given up", let_go=False)
    driver.check("axis after esc", about() == before and shape() == nodes)
    # Far less than that: mirrored about an axis so far off, the plate would be no plate.
    yield from driver.drag(start, (start[0] + 12, start[1]))
    yield from driver.wait_until(lambda: about() != before, 20.0, "The turned axis")
    yield 0.4
    driver.check("axis turned", [before, about()])
    driver.check("outlines while turning", len(steps.outlines()))
    yield from driver.shot("axis turned")
    yield from undo(driver)
    driver.check("axis undone", about() == before and shape() == nodes)
    start = place(driver, "middle")
    yield from driver.drag(start, (start[0] + 5, start[1] + 3))
    yield from driver.wait_until(lambda: about() != before, 20.0, "The moved axis")
    driver.check("axis moved", [before, about()])
    yield from undo(driver)
    driver.check("move undone", about() == before and shape() == nodes)
    # Far outside, the plate is nowhere near symmetric: told in a sentence, with nothing changed.
    start, told = place(driver, "middle"), driver.reports()
    yield from driver.drag(start, (start[0] + 300, start[1]))
    yield from driver.wait_until(lambda: driver.reports() != told, 20.0, "The refusal")
    driver.check("axis refused", driver.reports().strip().splitlines()[-1])
    driver.check("axis after refusal", about() == before and shape() == nodes)


def known():
    """Our kinds of handles and their groups that Blender knows of."""
    kinds = (k for base in (bpy.types.GizmoGroup, bpy.types.Gizmo) for k in base.__subclasses__())
    ours = (kind for kind in kinds if kind.__module__.startswith(f"{steps.MODULE}."))
    return [kind.__name__ for kind in ours if "bl_rna" in vars(kind)]


def switched(driver):
    """Off and on again fifty times while the handles are drawn, then one of them is dragged."""
    scenario_outline.choose("Plate symmetric")
    module = sys.modules[steps.MODULE]
    left = []
    for number in range(50):
        module.unregister()
        left += known()
        # Drawing takes long; every tenth time Blender draws what is left, and what is back.
        if number % 10 == 0:
            driver.redraw()
            yield
        module.register()
        if number % 10 == 0:
            driver.redraw()
            yield
    driver.check("left behind", left)
    driver.check("known", len(known()))
    yield 0.4
    before = about()
    start = place(driver, "middle")
    yield from driver.drag(start, (start[0] + 5, start[1] + 3))
    yield from driver.wait_until(lambda: about() != before, 20.0, "The axis moved after all")
    driver.check("dragged after all", True)


def units(driver):
    """Sizes and the hand's error at the outline, in a scene of inches and in one of metres."""
    settings = bpy.context.scene.unit_settings
    draw = core("addon.outline.overlay").draw_outline
    outline().flatwright_outline.show_sizes = True
    for system, unit in (("IMPERIAL", "INCHES"), ("METRIC", "METERS"), ("METRIC", "CENTIMETERS")):
        settings.system, settings.length_unit = system, unit
        yield 0.2
        with driver.viewport():
            drawn = draw(driver.region(), driver.area.spaces.active.region_3d)
        driver.check(f"labels in {unit.lower()}", [label.text for label in drawn.labels])
        if unit == "INCHES":
            yield from driver.shot("inches")
    outline().flatwright_outline.show_sizes = False
    settings.length_unit = "MILLIMETERS"


def centre(driver):
    scenario_outline.choose("Plate")
    with driver.viewport():
        bpy.ops.flatwright.make_symmetric(kind="dihedral", order=2)
    yield from away(driver)
    scenario_outline.push(driver, "Star")
    before = about()
    start = place(driver, "end")
    yield from steps.drag_and_look(
        driver, start, (start[0] + 3, start[1] + 25), "centre's axis", let_go=False
    )
    driver.check("star after esc", about() == before)
