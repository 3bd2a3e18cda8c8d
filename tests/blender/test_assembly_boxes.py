"""Finger joints, boxes and layers in Blender: made in one act, changed, checked, refused whole."""

import bpy
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def stock(package):
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    return bpy.context.scene.flatwright_stocks[0]


def parts():
    return [o for o in bpy.data.objects if o.flatwright_part.is_part]


def settings():
    return bpy.context.scene.flatwright_assembly


def check():
    bpy.ops.mesh.primitive_cube_add(size=0.02, location=(0.5, 0.0, 0.0))
    bpy.ops.flatwright.set_fixture()
    bpy.ops.flatwright.check_assembly()
    return settings()


@pytest.mark.parametrize(("top", "boards", "joints"), [("closed", 6, 12), ("lid", 7, 8)])
def test_a_box_is_added_joined_and_goes_together(stock, top, boards, joints):
    assert bpy.ops.flatwright.add_box(width_mm=150.0, depth_mm=90.0, height_mm=70.0, top=top) == {
        "FINISHED"
    }
    assert len(parts()) == boards
    # Opposite boards are copies of one shape; the lid and its rim have their own.
    assert len({part.data for part in parts()}) == (3 if top == "closed" else 5)
    assert len(settings().joints) == joints
    assert all(j.kind == "finger" and "fingers of" in j.figures for j in settings().joints)
    found = check()
    assert found.interferences == 0
    assert found.is_clear
    assert found.steps
    assert not found.remarks


def test_fingers_follow_their_number_and_a_thicker_stock(stock):
    bpy.ops.flatwright.add_box(width_mm=150.0, depth_mm=90.0, height_mm=70.0, top="open")
    joint = settings().joints[0]
    joint.finger_count = 3
    assert joint.figures.startswith("3 fingers of ")
    joint.finger_count = 1
    assert joint.figures == "goes over the whole end"
    assert check().interferences == 0


def test_boards_that_meet_at_an_edge_are_found_and_others_refused(stock, plate):
    bpy.ops.flatwright.add_box(width_mm=150.0, depth_mm=90.0, height_mm=70.0, top="open")
    bpy.ops.flatwright.separate_parts()
    assert not settings().joints
    assert bpy.ops.flatwright.finger_parts() == {"FINISHED"}
    assert len(settings().joints) == 8
    with pytest.raises(RuntimeError, match="Give larger sizes"):
        bpy.ops.flatwright.add_box(width_mm=4.0, depth_mm=90.0, height_mm=70.0)
    assert len(parts()) == 5


def test_a_ring_is_made_of_three_layers_where_it_stood(package, plate):
    from importlib import import_module

    shapes = import_module(f"{package}.geometry.outline")
    ring = plate("Ring", lift=30.0, shape=shapes.ring(120.0, 80.0))
    middle = ring.matrix_world.translation.z / MM
    ring.select_set(True)
    assert bpy.ops.flatwright.layer_part(count=3, dowel_mm=5.0) == {"FINISHED"}
    layers = sorted(parts(), key=lambda part: part.name)
    assert [layer.name for layer in layers] == ["Ring A", "Ring B", "Ring C"]
    heights = [layer.matrix_world.translation.z / MM for layer in layers]
    assert heights == pytest.approx([middle - 3.0, middle, middle + 3.0], abs=1e-4)
    # The bore and two dowels.
    assert {len(layer.data.splines) for layer in layers} == {4}
    assert check().is_clear
    assert settings().interferences == 0


def test_layers_of_a_joined_part_are_refused_and_nothing_changes(stock):
    bpy.ops.flatwright.add_box(width_mm=150.0, depth_mm=90.0, height_mm=70.0, top="open")
    bpy.ops.object.select_all(action="DESELECT")
    bpy.data.objects["Bottom"].select_set(True)
    before = {thing.name for thing in bpy.data.objects}
    with pytest.raises(RuntimeError, match="is joined to other parts"):
        bpy.ops.flatwright.layer_part(count=2)
    assert {thing.name for thing in bpy.data.objects} == before
