"""Parts placed at the cursor, edge to edge, around an axis and mirrored; shapes stay shared."""

import math

import bpy
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


def extent(thing):
    """World bounds in mm of a part's own corners."""
    half = thing.data.extrude
    points = [p.co for s in thing.data.splines for p in s.bezier_points]
    world = [thing.matrix_world @ p.to_3d() for p in points]
    normal = thing.matrix_world.to_3x3().col[2] * half
    places = [w + s * normal for w in world for s in (-1, 1)]
    return [(min(p[i] for p in places) / MM, max(p[i] for p in places) / MM) for i in range(3)]


def near(found, wanted):
    for (low, high), (want_low, want_high) in zip(found, wanted, strict=True):
        assert (low, high) == pytest.approx((want_low, want_high), abs=1e-3)


def test_a_part_stands_and_lies_at_the_cursor(plate):
    wall = plate("Wall", 100.0, 40.0)
    bpy.context.scene.cursor.location = (0.01, 0.02, 0.03)
    bpy.ops.flatwright.place_at_cursor()
    bpy.context.view_layer.update()
    near(extent(wall), [(-40.0, 60.0), (18.5, 21.5), (30.0, 70.0)])
    bpy.ops.flatwright.place_at_cursor(how="lie", turn=math.pi / 2)
    bpy.context.view_layer.update()
    near(extent(wall), [(-10.0, 30.0), (-30.0, 70.0), (30.0, 33.0)])
    with pytest.raises(RuntimeError, match="4 straight edges"):
        bpy.ops.flatwright.place_at_cursor(how="stand", foot=9)
    near(extent(wall), [(-10.0, 30.0), (-30.0, 70.0), (30.0, 33.0)])


def test_a_part_is_placed_on_a_given_face(plate):
    wall = plate("Wall", 100.0, 40.0)
    bpy.ops.flatwright.place_on_face(place=(0.0, 0.0, 0.05), normal=(1.0, 0.0, 0.0))
    bpy.context.view_layer.update()
    (low, high), _, _ = extent(wall)
    assert (low, high) == pytest.approx((0.0, 40.0), abs=1e-3)


def test_mated_edges_make_a_corner_that_takes_tabs(plate):
    plate("Base", 100.0, 60.0)
    wall = plate("Wall", 100.0, 40.0)
    assert bpy.ops.flatwright.mate_edges(edge=0, other="Base", other_edge=0) == {"FINISHED"}
    bpy.context.view_layer.update()
    _, (y0, _), (z0, _) = extent(wall)
    # At the base's edge, on its upper face half a sheet over its middle.
    assert (y0, z0) == pytest.approx((-30.0, 1.5), abs=1e-3)
    bpy.ops.flatwright.tab_parts()
    assert len(bpy.context.scene.flatwright_assembly.joints) == 1
    with pytest.raises(RuntimeError, match="is gone"):
        bpy.ops.flatwright.mate_edges(edge=0, other="Nothing", other_edge=0)
    with pytest.raises(RuntimeError, match="edge is gone"):
        bpy.ops.flatwright.mate_edges(edge=7, other="Base", other_edge=0)


def test_copies_around_and_mirrored_share_their_shape(plate):
    wall = plate("Wall", 100.0, 40.0)
    wall.location.x = 0.2
    bpy.context.view_layer.update()
    bpy.ops.flatwright.array_parts(count=3)
    parts = [o for o in bpy.data.objects if o.flatwright_part.is_part]
    assert len(parts) == 3
    assert {o.data.name for o in parts} == {wall.data.name}
    assert sorted(round(o.location.x, 6) for o in parts) == [-0.1, -0.1, 0.2]
    bpy.context.scene.cursor.location = (0.0, 0.0, 0.0)
    bpy.ops.object.select_all(action="DESELECT")
    wall.select_set(True)
    bpy.ops.flatwright.mirror_parts(side="X")
    (image,) = [o for o in bpy.data.objects if o.flatwright_part.is_part and o not in parts]
    assert image.location.x == pytest.approx(-0.2)
    assert image.data == wall.data
    # A turn, no mirror: the part can still be read.
    assert image.matrix_world.determinant() == pytest.approx(1.0)
    assert bpy.ops.flatwright.rebuild_parts() == {"FINISHED"}
