"""The order of assembly on the timeline and as pictures; the parts themselves stay."""

import bpy
import numpy as np
import pytest
from PIL import Image

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def checked(plate):
    """A wall with tabs through a base, beside a fixture, and checked."""
    plate("Base", 120.0, 80.0)
    plate("Wall", 100.0, 40.0, upright=True, lift=21.5)
    bpy.ops.flatwright.tab_parts()
    bpy.ops.mesh.primitive_cube_add(size=0.02, location=(0.1, 0.0, 0.0))
    bpy.ops.flatwright.set_fixture()
    bpy.ops.flatwright.check_assembly()
    return bpy.data.objects["Base"], bpy.data.objects["Wall"]


def places():
    return {o.name: tuple(o.matrix_world.translation) for o in bpy.data.objects}


def test_steps_are_shown_by_copies_and_taken_back(checked):
    before = places()
    assert bpy.ops.flatwright.show_steps() == {"FINISHED"}
    scene = bpy.context.scene
    copies = bpy.data.collections["Assembly Steps"].objects
    assert len(copies) == 3
    pushed = [step.pushed[0].thing for step in scene.flatwright_assembly.steps]
    last = next(c for c in copies if c.flatwright_step_of == pushed[-1])
    apart = last.matrix_world.translation - pushed[-1].matrix_world.translation
    assert apart.length / MM > 25.0
    scene.frame_set(scene.frame_end)
    together = last.matrix_world.translation - pushed[-1].matrix_world.translation
    assert together.length / MM < 1e-3
    assert all(o.hide_get() for o in checked)
    # Copies are no parts: nothing is rebuilt, laid out or counted twice.
    assert sum(o.flatwright_part.is_part for o in bpy.data.objects) == 2
    assert bpy.ops.flatwright.hide_steps() == {"FINISHED"}
    assert places() == before
    assert not any(o.hide_get() for o in checked)
    assert not bpy.ops.flatwright.hide_steps.poll()


def test_pictures_show_one_step_more_each_time(checked, tmp_path):
    scenes, cameras = len(bpy.data.scenes), len(bpy.data.cameras)
    before = places()
    path = tmp_path / "steps of “Größe 1”.png"
    assert bpy.ops.flatwright.save_step_pictures(filepath=str(path)) == {"FINISHED"}
    with Image.open(path) as picture:
        pixels = np.asarray(picture.convert("L"))
    assert pixels.shape == (24 + 480 + 58 + 24, 24 + 2 * (640 + 24))
    inked = [(pixels[40:480, x + 10 : x + 630] < 200).sum() for x in (24, 24 + 664)]
    assert 200 < inked[0] < inked[1]
    assert places() == before
    assert (len(bpy.data.scenes), len(bpy.data.cameras)) == (scenes, cameras)


def test_an_order_of_yesterday_is_not_shown(checked):
    checked[1].location.z += 1.0 * MM
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match="Press Check Assembly"):
        bpy.ops.flatwright.show_steps()
    assert "Assembly Steps" not in bpy.data.collections


def test_pictures_that_cannot_be_saved_are_refused_in_a_sentence(checked, tmp_path):
    with pytest.raises(RuntimeError, match="does not exist"):
        bpy.ops.flatwright.save_step_pictures(filepath=str(tmp_path / "no" / "steps.png"))
