"""Joints in Blender: laps and tabs, their fit, cuts to the fixture, and following changes."""

import math
from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def core(package):
    """The extension's own modules, as they are named inside Blender."""

    def module(name):
        return import_module(f"{package}.{name}")

    return module


@pytest.fixture
def corner(plate):
    """A base, and a wall that ends at its upper face."""
    base = plate("Base", 120.0, 80.0)
    wall = plate("Wall", 100.0, 40.0, upright=True, lift=21.5)
    for thing in (base, wall):
        thing.select_set(True)
    return base, wall


def profile_of(core, thing):
    return core("addon.blender.curves").read_profile(thing.data)


def holes_of(core, thing):
    """Bounds (x0, y0, x1, y1) of the holes in a part, in mm."""
    return [ring.bounds for ring in profile_of(core, thing).polygon().interiors]


def slot_width(core, base):
    x0, y0, x1, y1 = holes_of(core, base)[0]
    return min(x1 - x0, y1 - y0)


def settings():
    return bpy.context.scene.flatwright_assembly


def test_a_wall_goes_through_its_base_with_tabs(core, corner):
    base, wall = corner
    assert bpy.ops.flatwright.tab_parts() == {"FINISHED"}
    (joint,) = settings().joints
    assert (joint.a, joint.b, joint.kind) == (wall, base, "tab")
    assert joint.figures == "5 tabs of 9.00 mm, slots 3.00 mm"
    assert len(profile_of(core, base).holes) == 5
    assert wall.dimensions[1] / MM == pytest.approx(43.0, abs=1e-3)
    # The check agrees: nothing overlaps. The fixture stands aside.
    bpy.ops.mesh.primitive_cube_add(size=0.02, location=(0.3, 0.0, 0.0))
    bpy.ops.flatwright.set_fixture()
    bpy.ops.flatwright.check_assembly()
    assert settings().interferences == 0
    assert settings().is_clear
    assert len(settings().steps) == 2


def test_slots_follow_fit_thickness_and_their_own_settings(core, corner):
    base, _ = corner
    bpy.ops.flatwright.tab_parts()
    settings().fit = "sliding"
    assert slot_width(core, base) == pytest.approx(3.1, abs=1e-4)
    settings().fit = "typed"
    settings().slot_clearance = 0.25 * MM
    assert slot_width(core, base) == pytest.approx(3.25, abs=1e-4)
    joint = settings().joints[0]
    joint.fit = "loose"
    assert slot_width(core, base) == pytest.approx(3.3, abs=1e-4)
    joint.fit = "press"
    bpy.context.scene.flatwright_stocks[0].thickness = 2.7 * MM
    core("addon.state.following").catch_up()
    assert slot_width(core, base) == pytest.approx(2.7, abs=1e-4)
    joint.tab_count = 2
    assert len(profile_of(core, base).holes) == 2
    joint.enabled = False
    assert not profile_of(core, base).holes


def test_parts_follow_when_one_is_moved_away_and_back(core, corner):
    base, wall = corner
    bpy.ops.flatwright.tab_parts()
    following = core("addon.state.following")
    wall.location.z += 10.0 * MM
    bpy.context.view_layer.update()
    following.catch_up()
    assert settings().joints[0].is_asleep
    assert not profile_of(core, base).holes
    wall.location.z -= 10.0 * MM
    bpy.context.view_layer.update()
    following.catch_up()
    assert not settings().joints[0].is_asleep
    assert len(profile_of(core, base).holes) == 5


def test_trouble_is_told_and_parts_stay_as_they_were(core, corner):
    base, _ = corner
    bpy.ops.flatwright.tab_parts()
    settings().joints[0].tab_width = 200.0 * MM
    assert "too short for a tab" in settings().trouble
    assert len(profile_of(core, base).holes) == 5
    settings().joints[0].tab_width = 20.0 * MM
    assert settings().trouble == ""
    assert len(profile_of(core, base).holes) == 2


def test_a_joint_is_swapped_shown_and_removed(core, corner):
    base, wall = corner
    bpy.ops.flatwright.tab_parts()
    # The base does not end at the wall's face, so the tabs cannot change sides.
    with pytest.raises(RuntimeError, match="cannot change sides"):
        bpy.ops.flatwright.swap_joint()
    assert settings().joints[0].a == wall
    assert len(profile_of(core, base).holes) == 5
    bpy.ops.flatwright.show_joint(index=0)
    assert {o.name for o in bpy.context.selected_objects} == {"Base", "Wall"}
    bpy.ops.flatwright.remove_joint()
    assert len(settings().joints) == 0
    assert not profile_of(core, base).holes
    assert not bpy.ops.flatwright.remove_joint.poll()


def test_parts_that_do_not_meet_are_not_tabbed(plate):
    plate("Base", 120.0, 80.0)
    plate("Wall", 100.0, 40.0, upright=True, lift=60.0)
    with pytest.raises(RuntimeError, match="None of these parts ends at another"):
        bpy.ops.flatwright.tab_parts()
    assert len(settings().joints) == 0


def test_a_part_is_cut_to_the_fixture_and_follows_it(core, plate):
    base = plate("Base", 120.0, 80.0)
    bpy.ops.mesh.primitive_cylinder_add(vertices=128, radius=0.02, depth=0.1)
    post = bpy.context.object
    bpy.ops.flatwright.set_fixture()
    post.select_set(False)
    base.select_set(True)
    bpy.context.view_layer.objects.active = base
    assert bpy.ops.flatwright.cut_to_fixture(clearance=0.5 * MM) == {"FINISHED"}
    ((x0, _, x1, _),) = holes_of(core, base)
    assert x1 - x0 == pytest.approx(41.02, abs=0.03)
    post.location.x = 10.0 * MM
    bpy.context.view_layer.update()
    core("addon.state.following").catch_up()
    ((x0, _, x1, _),) = holes_of(core, base)
    assert 0.5 * (x0 + x1) == pytest.approx(10.0, abs=0.01)
    base.flatwright_fixture_cut.enabled = False
    assert not profile_of(core, base).holes


def test_a_deleted_partner_is_named_in_the_list(core, corner):
    base, wall = corner
    bpy.ops.flatwright.tab_parts()
    bpy.data.objects.remove(wall)
    bpy.ops.flatwright.rebuild_parts()
    assert settings().joints[0].figures == "one of its parts was deleted"
    assert not profile_of(core, base).holes
    with pytest.raises(RuntimeError, match="was deleted"):
        bpy.ops.flatwright.show_joint(index=0)


def test_each_fixture_has_its_gap_and_findings_are_shown(corner):
    base, _ = corner
    bpy.ops.flatwright.tab_parts()
    bpy.ops.mesh.primitive_cube_add(size=0.02, location=(0.3, 0.0, 0.0))
    bpy.ops.flatwright.set_fixture()
    bpy.ops.mesh.primitive_cube_add(size=0.02, location=(0.0705, 0.0, 0.0))
    post = bpy.context.object
    post.name = "Post"
    assert bpy.ops.flatwright.add_fixture() == {"FINISHED"}
    assert bpy.ops.flatwright.add_fixture() == {"CANCELLED"}
    bpy.ops.flatwright.check_assembly()
    assert settings().is_clear
    assert len(settings().remarks) == 0
    settings().more_fixtures[0].required = 1.0 * MM
    bpy.ops.flatwright.check_assembly()
    (remark,) = settings().remarks
    assert remark.label == "Too close: Base + Post"
    assert not settings().is_clear
    assert bpy.ops.flatwright.show_remark(index=0) == {"FINISHED"}
    assert bpy.context.object == base
    assert bpy.context.scene.cursor.location.x / MM == pytest.approx(60.25, abs=1e-3)
    bpy.ops.flatwright.remove_fixture(index=0)
    bpy.ops.flatwright.check_assembly()
    assert settings().is_clear


def test_parts_alone_are_checked_without_a_fixture(corner):
    bpy.ops.flatwright.check_assembly()
    assert settings().checked
    assert settings().interferences == 0
    bpy.data.objects["Wall"].location.z -= 5.0 * MM
    bpy.context.view_layer.update()
    bpy.ops.flatwright.check_assembly()
    assert settings().interferences == 1
    assert settings().remarks[0].label == "Overlap: Base + Wall"


@pytest.mark.usefixtures("corner")
def test_a_router_opens_only_the_corners_of_joints_if_asked(core):
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.process = "router"
    stock.cutter_diameter = 2.0 * MM
    stock.kerf = 2.0 * MM
    bpy.ops.flatwright.tab_parts()
    sheets = core("addon.sheet.layouts")
    layout = bpy.context.scene.flatwright_layout
    every = sheets.finished_pieces(bpy.context)[0].pieces
    assert {piece.relieved for piece in every} == {None}
    layout.relieved = "joints"
    some = sheets.finished_pieces(bpy.context)[0].pieces
    found = {piece.name: len(piece.relieved) for piece in some}
    # Four corners a slot; two at the root of each tab that stands inside the edge.
    assert found == {"Base": 5 * 4, "Wall": 5 * 2}
    assert bpy.ops.flatwright.lay_out() == {"FINISHED"}
    bpy.ops.flatwright.check_readiness()
    findings = bpy.context.scene.flatwright_readiness.findings
    assert not any("out of date" in f.label for f in findings)


def test_a_heavy_scene_is_computed_beside_the_window(core, corner, monkeypatch):
    base, wall = corner
    bpy.ops.flatwright.tab_parts()
    following = core("addon.state.following")
    monkeypatch.setattr(following, "_is_light", lambda scene: False)
    wall.location.z += 10.0 * MM
    bpy.context.view_layer.update()
    following.catch_up()
    assert settings().is_computing
    assert len(profile_of(core, base).holes) == 5
    while core("addon.state.runner").collect() is not None:
        pass
    assert not settings().is_computing
    assert settings().joints[0].is_asleep
    assert not profile_of(core, base).holes
    # What changes meanwhile is not shown, but computed anew.
    wall.location.z -= 10.0 * MM
    bpy.context.view_layer.update()
    following.catch_up()
    wall.location.z += 20.0 * MM
    bpy.context.view_layer.update()
    for _ in range(2):
        while core("addon.state.runner").collect() is not None:
            pass
    assert not settings().is_computing
    assert not profile_of(core, base).holes


def test_three_copies_through_one_line_each_get_a_shape_and_go_together(core, plate):
    first = plate("Disc", shape=core("geometry.outline").circle(100.0), upright=True)
    bpy.ops.flatwright.array_parts(count=3, about="cursor")
    # About the upright axis three sheets a third of a turn apart cross along the whole axis.
    discs = [o for o in bpy.data.objects if o.flatwright_part.is_part]
    assert len({o.data.name for o in discs}) == 1
    assert bpy.ops.flatwright.join_parts() == {"FINISHED"}
    assert len(settings().joints) == 3
    assert len({o.data.name for o in discs}) == 3
    assert first.data.name in {o.data.name for o in discs}
    bpy.ops.flatwright.check_assembly()
    assert settings().interferences == 0
    assert settings().order_found
    assert len(settings().steps) == 3


@pytest.fixture
def sunk(plate):
    """Two boards 60 mm high that cross, and a ball of 60 mm sunk 34 mm into them."""
    first = plate("Board", 120.0, 60.0, upright=True)
    second = plate("Cross", 120.0, 60.0, upright=True)
    second.rotation_euler[2] += 1.5707963267948966
    bpy.ops.mesh.primitive_uv_sphere_add(radius=0.03, segments=64, ring_count=32)
    bpy.context.object.location[2] = (30.0 - 34.0 + 30.0) * MM
    bpy.ops.flatwright.set_fixture()
    bpy.ops.object.select_all(action="DESELECT")
    for thing in (first, second):
        thing.select_set(True)
    bpy.context.view_layer.objects.active = first
    return first, second


def split_height(joint):
    """How high above the boards' lower edges the two slots of a lap meet, in mm."""
    z = [end[2] / MM for end in (joint.start, joint.end)]
    return z[0] + joint.split * (z[1] - z[0])


def test_laps_share_what_a_sunk_ball_leaves(core, sunk):
    bpy.ops.flatwright.cut_to_fixture(clearance=0.5 * MM)
    assert bpy.ops.flatwright.join_parts() == {"FINISHED"}
    (joint,) = settings().joints
    assert joint.rule == "left"
    heights = sorted(end[2] / MM for end in (joint.start, joint.end))
    assert heights == pytest.approx([-30.0, 30.0 - 34.0 - 0.5], abs=0.1)
    bpy.ops.flatwright.check_assembly()
    assert settings().interferences == 0
    assert settings().is_clear


def test_a_joint_of_an_older_file_keeps_its_rule_until_asked_or_changed(core, sunk):
    bpy.ops.flatwright.join_parts()
    (joint,) = settings().joints
    joint.rule = "whole"
    # Sunk 20 mm only: deeper than half of the board the older rule would part it.
    bpy.data.objects["Sphere"].location[2] += 14.0 * MM
    bpy.ops.flatwright.cut_to_fixture(clearance=0.0)
    assert max(end[2] / MM for end in (joint.start, joint.end)) == pytest.approx(30.0, abs=1e-3)
    bpy.ops.flatwright.check_assembly()
    told = [remark.sentence for remark in settings().remarks]
    assert any("Share What Is Left" in sentence for sentence in told)
    assert bpy.ops.flatwright.share_left() == {"FINISHED"}
    (joint,) = settings().joints
    assert joint.rule == "left"
    assert max(end[2] / MM for end in (joint.start, joint.end)) == pytest.approx(10.0, abs=0.1)
    bpy.ops.flatwright.check_assembly()
    told = [remark.sentence for remark in settings().remarks]
    assert not any("Share What Is Left" in sentence for sentence in told)
    joint.rule = "whole"
    joint.split = 0.4
    assert joint.rule == "left"


def test_askew_tabs_can_go_through(core, corner):
    _, wall = corner
    wall.rotation_euler[0] -= 0.6
    # Its lower corner lies on the base again.
    wall.location[2] = (1.5 + 20.0 * math.cos(0.6) + 1.5 * math.sin(0.6)) * MM
    bpy.ops.flatwright.tab_parts()
    (joint,) = settings().joints
    assert joint.tab_ends == "fitted"
    short = profile_of(core, wall).bounds_mm[1]
    joint.tab_ends = "through"
    assert "stands out" in joint.figures
    # The end leans 3 mm · tan 34° less far out.
    assert profile_of(core, wall).bounds_mm[1] == pytest.approx(
        short - 3.0 * math.tan(0.6), abs=1e-3
    )
