"""Butt joints by their button: who goes over, what holds them, what is refused."""

import math

import bpy
import pytest

pytestmark = pytest.mark.blender


def joints():
    return bpy.context.scene.flatwright_assembly.joints


def select(*things):
    bpy.ops.object.select_all(action="DESELECT")
    for thing in things:
        thing.select_set(True)
    bpy.context.view_layer.update()


@pytest.fixture
def tee(plate):
    """A floor of 6 mm, and a wall that stands on it, drawn half a millimetre into it."""
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.thickness_mm = 9.0
    floor = plate("Floor", 200.0, 120.0)
    wall = plate("Wall", 160.0, 70.0, upright=True, lift=4.5 - 0.5 + 35.0)
    select(floor, wall)
    return floor, wall


def holes(thing):
    return len(thing.data.splines) - 1


def test_a_wall_is_joined_to_a_floor_and_held_by_what_is_chosen(tee):
    floor, _ = tee
    assert bpy.ops.flatwright.join_as(kind="butt") == {"FINISHED"}
    (joint,) = joints()
    assert joint.kind == "butt"
    assert (joint.a.name, joint.b.name) == ("Floor", "Wall")
    assert holes(floor) == 0
    assert "goes over the whole end" in joint.figures
    joint.butt_fastener = "nut"
    joint.butt_size = "4"
    assert holes(floor) == 2
    assert "M4" in joint.figures
    assert "nuts" in joint.figures
    joint.butt_count = 3
    assert holes(floor) == 3
    joint.butt_fastener = "dowel"
    joint.butt_size = "5"
    assert holes(floor) == 3
    assert "3 dowels of 5" in joint.figures
    # DIN 68150 has no dowel of 4: the parts stay, and the panel says why.
    joint.butt_size = "4"
    assert "no dowel of 4 mm" in bpy.context.scene.flatwright_assembly.trouble
    assert bpy.ops.flatwright.remove_joint() == {"FINISHED"}
    assert holes(floor) == 0


def test_boards_that_overlap_at_a_corner_swap_which_goes_over(plate):
    flat = plate("Flat", 120.0, 60.0)
    tall = plate("Tall", 120.0, 60.0, upright=True, y=28.5, lift=28.5)
    select(flat, tall)
    assert bpy.ops.flatwright.join_as(kind="butt") == {"FINISHED"}
    before = [thing.dimensions.y for thing in (flat, tall)]
    assert bpy.ops.flatwright.swap_joint() == {"FINISHED"}
    bpy.context.view_layer.update()
    after = [thing.dimensions.y for thing in (flat, tall)]
    assert after[0] == pytest.approx(before[0] - 0.003, abs=1e-6)
    assert after[1] == pytest.approx(before[1] + 0.003, abs=1e-6)
    assert bpy.ops.flatwright.check_assembly() == {"FINISHED"}
    assert bpy.context.scene.flatwright_assembly.interferences == 0


def test_parts_that_do_not_meet_are_told(plate):
    plate("One")
    plate("Two", lift=50.0)
    with pytest.raises(RuntimeError, match="joined like that"):
        bpy.ops.flatwright.join_as(kind="butt")
    assert len(joints()) == 0
    assert math.isfinite(bpy.context.scene.flatwright_assembly.least_gap_mm)
