"""Standing around the fixture and laying rings: what is chosen where nothing is typed."""

import bpy
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def post(plate):
    """A post with four corners, 60 mm wide, and a part drawn as it stands."""
    part = plate("Rib", 50.0, 90.0)
    bpy.ops.mesh.primitive_cube_add(size=1.0, location=(0.0, 0.0, 0.1))
    bpy.context.object.scale = (0.06, 0.06, 0.2)
    bpy.context.view_layer.update()
    bpy.ops.flatwright.set_fixture()
    bpy.context.scene.flatwright_assembly.required_mm = 2.0
    bpy.context.view_layer.objects.active = part
    return part


def test_number_and_distance_come_from_the_fixture_and_the_required_gap(post, capfd):
    assert bpy.ops.flatwright.stand_around(count=0, fits=True) == {"FINISHED"}
    bpy.context.view_layer.update()
    parts = [o for o in bpy.data.objects if o.flatwright_part.is_part]
    assert len(parts) == 4
    # The first stands along x: its nearest edge keeps 2 mm from the face at 30 mm.
    corners = [post.matrix_world @ v.co for v in post.to_mesh().vertices]
    assert min(corner.x for corner in corners) / MM == pytest.approx(32.0, abs=0.05)
    assert max(corner.z for corner in corners) / MM == pytest.approx(90.0, abs=0.01)
    told = capfd.readouterr().out
    assert "4 parts 32" in told
    assert "foot edge" in told


def test_a_ring_lands_at_the_height_of_the_cursor(plate):
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.mesh.primitive_cylinder_add(vertices=96, radius=0.03, depth=0.2)
    bpy.ops.flatwright.set_fixture()
    bpy.context.scene.cursor.location = (0.5, 0.2, 0.035)
    ring = bpy.ops.flatwright.ring_around_fixture
    assert ring(at_cursor=True, outer_diameter=0.09, clearance=0.0) == {"FINISHED"}
    bpy.context.view_layer.update()
    place = bpy.context.object.matrix_world.translation
    assert tuple(place) == pytest.approx((0.0, 0.0, 0.035), abs=1e-4)
    assert ring(height=0.02, outer_diameter=0.09, clearance=0.0) == {"FINISHED"}
    bpy.context.view_layer.update()
    assert bpy.context.object.matrix_world.translation.z == pytest.approx(0.02, abs=1e-6)
