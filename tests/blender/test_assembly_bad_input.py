"""What the assembly makes of objects it cannot use: a sentence, and nothing lost."""

import bpy
import pytest
from mathutils import Matrix

pytestmark = pytest.mark.blender

MM = 1e-3


def settings():
    return bpy.context.scene.flatwright_assembly


def cube(size=0.02, place=(0.0, 0.0, 0.0)):
    bpy.ops.mesh.primitive_cube_add(size=size, location=place)
    return bpy.context.object


def test_coplanar_and_parallel_parts_are_not_lapped_but_found_overlapping(plate):
    plate("A")
    plate("B", pose=Matrix.Translation((0.03, 0.0, 0.001)))
    with pytest.raises(RuntimeError, match="None of these parts cross"):
        bpy.ops.flatwright.join_parts()
    bpy.ops.flatwright.check_assembly()
    (remark,) = settings().remarks
    assert remark.label == "Overlap: A + B"


@pytest.mark.parametrize("scale", [(-1.0, 1.0, 1.0), (1.0, 2.0, 1.0)])
def test_scaled_and_mirrored_parts_are_refused(plate, scale):
    plate("A")
    wall = plate("Wall", upright=True)
    wall.scale = scale
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match=r"scaled|mirrored"):
        bpy.ops.flatwright.join_parts()
    assert len(settings().joints) == 0


def test_a_scaled_and_mirrored_fixture_is_measured_as_it_stands(plate):
    plate("A")
    post = cube(place=(0.08, 0.0, 0.0))
    post.scale = (-2.0, 1.0, 0.5)
    bpy.context.view_layer.update()
    bpy.ops.flatwright.set_fixture()
    bpy.ops.flatwright.check_assembly()
    # From the plate's edge at 50 to the post's side at 80 - 20.
    assert settings().least_gap_mm == pytest.approx(10.0, abs=1e-3)


def test_a_fixture_of_nothing_is_refused_and_the_old_one_stays(plate):
    plate("A")
    post = cube()
    bpy.ops.flatwright.set_fixture()
    empty = bpy.data.objects.new("Nothing", bpy.data.meshes.new("Nothing"))
    bpy.context.collection.objects.link(empty)
    bpy.context.view_layer.objects.active = empty
    for operator in (bpy.ops.flatwright.set_fixture, bpy.ops.flatwright.add_fixture):
        with pytest.raises(RuntimeError, match="has no faces"):
            operator()
    assert settings().fixture == post
    assert len(settings().more_fixtures) == 0


def test_a_mesh_without_area_does_not_break_the_check(plate):
    plate("A")
    mesh = bpy.data.meshes.new("Flat")
    mesh.from_pydata([(0.1, 0, 0), (0.1, 0, 0), (0.1, 0, 0)], [], [(0, 1, 2)])
    flat = bpy.data.objects.new("Flat", mesh)
    bpy.context.collection.objects.link(flat)
    bpy.context.view_layer.objects.active = flat
    bpy.ops.flatwright.set_fixture()
    assert bpy.ops.flatwright.check_assembly() == {"FINISHED"}
    assert settings().interferences == 0


def test_a_part_that_the_fixture_swallows_cannot_be_cut_back(plate):
    part = plate("A", 10.0, 6.0)
    cube(size=0.1)
    bpy.ops.flatwright.set_fixture()
    bpy.context.object.select_set(False)
    part.select_set(True)
    bpy.context.view_layer.objects.active = part
    with pytest.raises(RuntimeError, match="lies wholly within the fixture"):
        bpy.ops.flatwright.cut_to_fixture(clearance=0.5 * MM)
    assert not part.flatwright_fixture_cut.enabled
    assert part.dimensions[0] / MM == pytest.approx(10.0, abs=1e-3)


def test_a_part_whose_outline_was_deleted_says_so(plate):
    part = plate("A")
    plate("Wall", upright=True)
    bpy.data.objects.remove(part.flatwright_part.outline)
    with pytest.raises(RuntimeError, match="outline of part “A” was deleted"):
        bpy.ops.flatwright.join_parts()


def test_a_part_turned_into_a_mesh_is_left_alone(plate):
    plate("A")
    wall = plate("Wall", upright=True)
    bpy.ops.object.select_all(action="DESELECT")
    wall.select_set(True)
    bpy.context.view_layer.objects.active = wall
    bpy.ops.object.convert(target="MESH")
    assert bpy.ops.flatwright.check_assembly() == {"FINISHED"}
    assert not bpy.ops.flatwright.join_parts.poll()


def test_a_linked_fixture_is_fitted_and_not_changed(plate, tmp_path):
    cube(place=(0.08, 0.0, 0.0)).name = "Post"
    library = tmp_path / "post.blend"
    bpy.data.libraries.write(str(library), {bpy.data.objects["Post"]})
    bpy.data.objects.remove(bpy.data.objects["Post"])
    with bpy.data.libraries.load(str(library), link=True) as (there, here):
        here.objects = there.objects
    (post,) = here.objects
    bpy.context.scene.collection.objects.link(post)
    part = plate("A")
    settings().fixture = post
    bpy.ops.flatwright.check_assembly()
    assert settings().least_gap_mm == pytest.approx(20.0, abs=1e-3)
    assert part.flatwright_check.checked


def test_the_axis_can_be_given_by_cursor_or_object(plate):
    part = plate("A", 60.0, 40.0)
    cube(size=0.02)
    bpy.ops.flatwright.set_fixture()
    bpy.context.view_layer.objects.active = part
    settings().axis_from = "object"
    with pytest.raises(RuntimeError, match="Choose one under Axis Object"):
        bpy.ops.flatwright.stand_around(count=2, distance=20.0 * MM)
    marker = bpy.data.objects.new("Axis", None)
    marker.location = (0.1, 0.0, 0.0)
    bpy.context.collection.objects.link(marker)
    bpy.context.view_layer.update()
    settings().axis_object = marker
    bpy.ops.flatwright.stand_around(count=2, distance=20.0 * MM)
    bpy.context.view_layer.update()
    places = [o.matrix_world.translation for o in bpy.data.objects if o.flatwright_part.is_part]
    middle = sum(p.x for p in places) / len(places)
    assert middle == pytest.approx(0.1, abs=1e-5)


@pytest.mark.parametrize("button", ["array_parts", "mirror_parts"])
def test_nothing_is_copied_if_one_of_the_parts_is_scaled(plate, button):
    plate("A").select_set(True)
    scaled = plate("B")
    scaled.scale = (1.0, 2.0, 1.0)
    bpy.ops.object.select_all(action="SELECT")
    bpy.context.view_layer.update()
    before = len(bpy.data.objects)
    with pytest.raises(RuntimeError, match="is scaled in the scene"):
        getattr(bpy.ops.flatwright, button)()
    assert len(bpy.data.objects) == before


def test_a_check_of_a_joint_whose_partner_was_deleted_goes_on(plate):
    plate("A")
    wall = plate("Wall", upright=True)
    bpy.ops.flatwright.join_parts()
    assert len(settings().joints) == 1
    bpy.data.objects.remove(wall)
    assert bpy.ops.flatwright.check_assembly() == {"FINISHED"}
    assert settings().joints[0].figures == "one of its parts was deleted"
    assert bpy.ops.flatwright.open_slots() == {"FINISHED"}
    with pytest.raises(RuntimeError, match="was deleted"):
        bpy.ops.flatwright.show_joint(index=0)
