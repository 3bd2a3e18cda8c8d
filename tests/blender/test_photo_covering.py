"""What stands over a new photo: the start-up cube is hidden, people's own things are named."""

from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def start_up(package):
    """Blender's own start-up scene."""
    bpy.ops.wm.read_homefile(use_empty=False, use_factory_startup=True)
    if package not in bpy.context.preferences.addons:
        bpy.ops.preferences.addon_enable(module=package)
    assert sorted(o.type for o in bpy.data.objects) == ["CAMERA", "LIGHT", "MESH"]
    return bpy.data.objects["Cube"]


@pytest.fixture
def uncover(package, demo):
    def add():
        bpy.ops.flatwright.add_photo(filepath=str(demo[0]))
        covering = import_module(f"{package}.addon.photo.covering")
        return covering.uncover(bpy.context, bpy.context.object)

    return add


def test_the_start_up_cube_is_hidden_and_nothing_is_deleted(start_up, uncover):
    assert "Alt H" in uncover()
    assert start_up.hide_get()
    assert not bpy.context.object.hide_get()
    assert len(bpy.data.objects) == 4


@pytest.mark.parametrize("change", ["moved", "scaled", "edited", "modified", "added"])
def test_a_scene_that_is_worked_in_is_left_alone(start_up, uncover, change):
    if change == "moved":
        start_up.location.z = 0.5
    elif change == "scaled":
        start_up.scale.x = 2.0
    elif change == "edited":
        start_up.data.vertices[0].co.x = 3.0
    elif change == "modified":
        start_up.modifiers.new("Bevel", "BEVEL")
    else:
        bpy.ops.mesh.primitive_uv_sphere_add(location=(5.0, 0.0, 0.0))
    bpy.context.view_layer.update()
    said = uncover()
    assert not start_up.hide_get()
    assert said.startswith("“Cube” stands over it")


def test_what_lies_beside_below_or_is_small_is_no_matter(uncover):
    bpy.ops.mesh.primitive_cube_add(size=0.5, location=(-1.0, 0.0, 0.0))
    bpy.ops.mesh.primitive_cube_add(size=0.5, location=(0.2, 0.1, -0.4))
    bpy.ops.mesh.primitive_cube_add(size=0.05, location=(0.1, 0.1, 0.0))
    assert uncover() == ""


def test_a_globe_over_the_photo_is_named(uncover):
    bpy.ops.mesh.primitive_uv_sphere_add(radius=0.15, location=(0.2, 0.15, 0.0))
    bpy.context.object.name = "Globe"
    assert "“Globe”" in uncover()
    assert not bpy.data.objects["Globe"].hide_get()


def test_a_script_s_photo_hides_nothing(start_up, demo):
    bpy.ops.flatwright.add_photo(filepath=str(demo[0]))
    assert not start_up.hide_get()
