"""Open Slots for Assembly, pressed in Blender: what is turned is kept, what was chosen stays."""

import math
from importlib import import_module

import bpy
import pytest
from mathutils import Matrix

pytestmark = pytest.mark.blender

MM = 1e-3
# High to the left, low to the right: its slots are shortest at different ends.
STEPPED = [(-60, 0), (0, 0), (0, -20), (60, -20), (60, 40), (0, 40), (0, 60), (-60, 60)]
RAIL = [(-60, 0), (60, 0), (60, 40), (-60, 40)]


def settings():
    return bpy.context.scene.flatwright_assembly


@pytest.fixture
def trellis(package, plate):
    """Two copies of a stepped sheet, the second turned about, across two rails; all lapped."""
    profiles = import_module(f"{package}.geometry.outline")
    stepped, rail = (
        profiles.Profile(profiles.Loop.through(corners)) for corners in (STEPPED, RAIL)
    )
    near = plate("Near", shape=stepped)
    far = near.copy()
    bpy.context.collection.objects.link(far)
    left, right = plate("Left", shape=rail), plate("Right", shape=rail)
    for thing, name, turn, x, y in (
        (near, "Near", 0.0, 0.0, -30.0),
        (far, "Far", math.pi, 0.0, 30.0),
        (left, "Left", math.pi / 2, -30.0, 0.0),
        (right, "Right", math.pi / 2, 30.0, 0.0),
    ):
        thing.name = name
        upright = Matrix.Rotation(math.pi / 2, 4, "X")
        place = Matrix.Translation((x * MM, y * MM, 0.0))
        thing.matrix_world = place @ Matrix.Rotation(turn, 4, "Z") @ upright
    bpy.context.view_layer.update()
    assert bpy.ops.flatwright.join_parts() == {"FINISHED"}
    assert len(settings().joints) == 4
    return near, far, left, right


def blocked():
    bpy.ops.flatwright.check_assembly()
    return not settings().order_found


def test_slots_are_turned_kept_and_undone_as_one_step(package, trellis):
    assert blocked()
    bpy.ops.ed.undo_push(message="locked")
    assert bpy.ops.flatwright.open_slots() == {"FINISHED"}
    assert "open the other way, so that" in settings().opening
    turned = [joint for joint in settings().joints if joint.needed]
    # Near and Far are one shape, so a slot turned in one is turned in the other.
    assert len(turned) == 2
    assert {joint.opens for joint in settings().joints} == {"auto"}
    assert all("the way the assembly needs" in joint.figures for joint in turned)
    assert not blocked()
    assert settings().is_clear
    assert settings().interferences == 0
    # Rebuilt from scratch, the slots are the same.
    following = import_module(f"{package}.addon.state.following")
    assert following.rebuild_quietly(bpy.context)
    assert not blocked()
    # Pressed again nothing changes: the same search from the shortest slots.
    before = [joint.needed for joint in settings().joints]
    bpy.ops.flatwright.open_slots()
    assert [joint.needed for joint in settings().joints] == before


def test_sides_chosen_by_hand_are_never_changed(package, trellis):
    laps = import_module(f"{package}.geometry.assembly.joints.joinery").laps_of
    parts = import_module(f"{package}.addon.assembly.rebuilding")
    plan = parts.plan_parts(bpy.context)
    following = import_module(f"{package}.addon.state.following")
    with following.paused():
        for joint, asked in zip(settings().joints, plan.joints, strict=True):
            joint.opens = laps(plan.parts, asked)[0].a_opens
    chosen = [joint.opens for joint in settings().joints]
    shape = import_module(f"{package}.addon.blender.curves").read_profile(trellis[0].data)
    with pytest.raises(RuntimeError, match="No choice of sides lets it go together"):
        bpy.ops.flatwright.open_slots()
    assert [joint.opens for joint in settings().joints] == chosen
    assert not any(joint.needed for joint in settings().joints)
    after = import_module(f"{package}.addon.blender.curves").read_profile(trellis[0].data)
    assert after.area_mm2 == pytest.approx(shape.area_mm2)


def test_swapping_a_turned_joint_keeps_its_slots(package, trellis):
    bpy.ops.flatwright.open_slots()
    number = next(i for i, joint in enumerate(settings().joints) if joint.needed)
    read = import_module(f"{package}.addon.blender.curves").read_profile
    before = read(trellis[0].data).polygon()
    settings().joint_index = number
    bpy.ops.flatwright.swap_joint()
    assert read(trellis[0].data).polygon().symmetric_difference(before).area < 0.05
    assert not blocked()
