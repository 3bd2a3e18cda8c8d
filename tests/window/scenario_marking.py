"""A line, names and letters on two boards, good faces, a machine's layers, bridges and order."""

import math
from importlib import import_module
from pathlib import Path

import bpy
import steps
from mathutils import Matrix


def scenario(driver):
    steps.open_folds("marks", "holding", "times")
    yield 1.0
    yield from steps.empty_scene(driver)
    yield from driver.open_sidebar()
    boards(driver)
    view = driver.area.spaces.active.region_3d
    view.view_location, view.view_distance = (0.0, 0.0, 0.0), 0.42
    yield from driver.click_button("flatwright.join_parts")
    yield from driver.wait_until(
        lambda: any(joint.figures for joint in assembly().joints), 20.0, "The lap"
    )
    yield from keep_line(driver)
    yield from labels(driver)
    yield from sheet(driver)
    yield from files(driver)


def assembly():
    return bpy.context.scene.flatwright_assembly


def boards(driver):
    outlines = import_module(f"{steps.MODULE}.addon.outline.outline_objects")
    shapes = import_module(f"{steps.MODULE}.geometry.outline")
    with driver.viewport():
        bpy.ops.flatwright.add_stock(kind="PLYWOOD")
        for name, turn in (("Long", 0.0), ("Cross", math.pi / 2.0)):
            outline = outlines.add_outline(
                bpy.context, f"{name} outline", shapes.rectangle(120.0, 60.0)
            )
            bpy.ops.flatwright.make_part()
            thing = bpy.context.object
            thing.name = name
            thing.matrix_world = Matrix.Rotation(turn, 4, "Z") @ Matrix.Rotation(
                math.pi / 2.0, 4, "X"
            )
            outline.hide_set(True)
        for thing in steps.parts():
            thing.select_set(True)
        bpy.ops.ed.undo_push(message="Boards")


def keep_line(driver):
    """A line over the outline of one board, kept on it by its button."""
    with driver.viewport():
        bpy.ops.flatwright.add_line(length_mm=40.0, turn=0.0)
        line = bpy.context.object
        line.location = (-0.035, -0.02, 0.0)
        long = bpy.data.objects["Long"]
        long.select_set(True)
        bpy.context.view_layer.objects.active = long
        bpy.ops.ed.undo_push(message="Line")
    yield from driver.click_button("flatwright.keep_lines")
    yield 0.4
    driver.check("kept", [len(thing.children) for thing in steps.parts()])


def labels(driver):
    """Switch names and letters on, and say that one face of the sheet is better."""
    layout = bpy.context.scene.flatwright_layout
    layout.mark_names = layout.mark_joints = True
    view = driver.area.spaces.active.region_3d
    view.view_distance = 0.2
    yield from driver.wait_until(lambda: drawn(driver) >= 4, 60.0, "The labels")
    driver.check("labels drawn", drawn(driver))
    yield from driver.shot("labels")
    # The faces turned to the eye are the good ones then, and labels go to the others.
    bpy.context.scene.flatwright_stocks[0].good_face = "up"
    yield 2.0
    driver.check("drawn on the good face", drawn(driver))
    view.view_distance = 0.42
    yield from driver.find_button("flatwright.drop_lines")
    yield from driver.shot("good face")


def drawn(driver):
    """How many labels are drawn, as strokes or as words."""
    shown = import_module(f"{steps.MODULE}.addon.sheet.labels_shown")
    with driver.viewport():
        found = shown.draw_labels(driver.region(), driver.area.spaces.active.region_3d)
    return len(found.strokes) + len(found.labels)


def sheet(driver):
    layout = bpy.context.scene.flatwright_layout
    layout.bridges, layout.lead_mm = 3, 2.0
    yield from driver.click_button("flatwright.lay_out")
    yield from driver.wait_until(
        lambda: any(o.flatwright_sheet.role == "SHEET" for o in bpy.data.objects), 30.0, "The sheet"
    )
    layout.shows_order = True
    with driver.viewport():
        bpy.ops.object.select_all(action="DESELECT")
        bpy.ops.view3d.view_axis(type="TOP")
        for thing in bpy.data.objects:
            thing.select_set(thing.flatwright_sheet.role == "PIECE")
        bpy.ops.view3d.view_selected()
    yield 1.5
    yield from driver.shot("order")


def files(driver):
    preferences = bpy.context.preferences.addons[steps.MODULE].preferences
    with driver.viewport():
        bpy.ops.flatwright.add_machine()
    machine = preferences.machines[0]
    machine.mark_name, machine.mark_colour = "ENGRAVE", (0.0, 0.0, 1.0)
    bpy.context.scene.flatwright_readiness.machine = machine.name
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.cut_mm_s, stock.mark_mm_s, stock.travel_mm_s = 12.0, 60.0, 200.0
    with driver.viewport():
        bpy.ops.mesh.primitive_cube_add(size=0.02, location=(0.3, 0.0, 0.0))
        bpy.ops.flatwright.set_fixture()
        bpy.ops.flatwright.check_assembly()
    yield 1.0
    yield from driver.find_button("flatwright.save_cut_files")
    yield 1.0
    yield from driver.shot("times")
    folder = Path(driver.out) / "cut files"
    folder.mkdir(exist_ok=True)
    with driver.viewport():
        bpy.ops.flatwright.save_cut_files("EXEC_DEFAULT", directory=str(folder))
    yield from driver.wait_until(lambda: len(list(folder.glob("*.dxf"))) == 2, 60.0, "The files")
    yield from driver.shot("saved")
