"""Outlines edited with Blender's own tools: what they then are, and what is no outline."""

import math
from importlib import import_module

import bpy
import numpy as np
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def curves(package):
    """Reading and writing of curves."""
    return import_module(f"{package}.addon.blender.curves")


@pytest.fixture
def plate(package):
    """A rounded rectangle with a round hole, at the world's origin."""
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    solid = outline.rectangle(80.0, 50.0, corner_radius_mm=8.0)
    shape = outline.Profile(solid.outer, (outline.circle(20.0).outer,))
    return outlines.add_outline(bpy.context, "Plate", shape)


def arcs(profile):
    return [s for s in profile.segments() if hasattr(s, "radius_mm")]


def edit(plate, change):
    bpy.context.view_layer.objects.active = plate
    bpy.ops.object.mode_set(mode="EDIT")
    change(plate.data)
    bpy.ops.object.mode_set(mode="OBJECT")


def select(points, numbers):
    for k, point in enumerate(points):
        point.select_control_point = k in numbers
        point.select_left_handle = point.select_right_handle = k in numbers


def test_arcs_survive_edit_save_and_reopen(plate, curves, tmp_path):
    def widen(curve):
        # The right half, corners and all, 10 mm further right.
        points = curve.splines[0].bezier_points
        select(points, {k for k, p in enumerate(points) if p.co.x > 0.0})
        select(curve.splines[1].bezier_points, set())
        bpy.ops.transform.translate(value=(0.01, 0.0, 0.0))

    edit(plate, widen)
    path = tmp_path / "plate.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(path))
    bpy.ops.wm.open_mainfile(filepath=str(path))
    shape = curves.read_profile(bpy.data.objects["Plate"].data)
    radii = sorted(a.radius_mm for a in arcs(shape))
    assert radii == pytest.approx([8.0, 8.0, 8.0, 8.0, 10.0], abs=1e-4)
    assert len(shape.outer.segments) == 8
    x0, _, x1, _ = shape.bounds_mm
    assert x1 - x0 == pytest.approx(90.0, abs=2e-3)
    # 90 × 50 mm, round corners and hole taken off.
    wanted = 4500.0 - (4.0 - math.pi) * 64.0 - math.pi * 100.0
    assert shape.area_mm2 == pytest.approx(wanted, abs=1e-2)


def test_an_edited_arc_becomes_what_it_now_is(plate, curves):
    def bend(curve):
        curve.splines[1].bezier_points[0].co.x += 0.002

    edit(plate, bend)
    shape = curves.read_profile(plate.data)
    assert len(arcs(shape)) >= 4
    assert any(hasattr(s, "control1") for s in shape.holes[0].segments)


def test_added_and_deleted_nodes_are_followed(plate, curves):
    def add(curve):
        points = curve.splines[0].bezier_points
        select(curve.splines[1].bezier_points, set())
        longest = max(
            range(len(points)),
            key=lambda k: (points[k].co - points[(k + 1) % len(points)].co).length,
        )
        select(points, {longest, (longest + 1) % len(points)})
        bpy.ops.curve.subdivide()

    before = curves.read_profile(plate.data).area_mm2
    count = len(plate.data.splines[0].bezier_points)
    edit(plate, add)
    assert len(plate.data.splines[0].bezier_points) == count + 1
    assert curves.read_profile(plate.data).area_mm2 == pytest.approx(before, abs=1e-2)

    def remove(curve):
        select(curve.splines[0].bezier_points, set())
        select(curve.splines[1].bezier_points, set(range(99)))
        bpy.ops.curve.delete(type="VERT")

    edit(plate, remove)
    shape = curves.read_profile(plate.data)
    assert shape.holes == ()
    assert shape.area_mm2 == pytest.approx(4000.0 - (4.0 - math.pi) * 64.0, abs=1e-2)


def open_it(curve):
    curve.splines[0].use_cyclic_u = False


def one_node(curve):
    curve.splines.clear()
    curve.splines.new("BEZIER").use_cyclic_u = True


def not_a_number(curve):
    curve.splines[0].bezier_points[0].co.x = math.nan


def in_space(curve):
    curve.dimensions = "3D"
    curve.splines[0].bezier_points[0].co.z = 0.02


def crossed(curve):
    curve.splines.clear()
    spline = curve.splines.new("POLY")
    spline.points.add(3)
    corners = [(0, 0), (0.04, 0.04), (0.04, 0), (0, 0.04)]
    for point, (x, y) in zip(spline.points, corners, strict=True):
        point.co = (x, y, 0.0, 1.0)
    spline.use_cyclic_u = True


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (open_it, "is open"),
        (one_node, "node"),
        (not_a_number, "not a number"),
        (in_space, "flat"),
        (crossed, "crosses itself"),
    ],
)
def test_what_is_no_outline_is_a_sentence_and_stays(plate, curves, spoil, words):
    spoil(plate.data)
    before = [np.array(p) for p in curves.points_of(plate.data)]
    for operator in (bpy.ops.flatwright.suggest, bpy.ops.flatwright.make_symmetric):
        with pytest.raises(RuntimeError, match=words):
            operator()
    assert [o.name for o in bpy.data.objects] == ["Plate"]
    np.testing.assert_array_equal(before, curves.points_of(plate.data))


def test_half_a_shape_made_whole(curves):
    curve = bpy.data.curves.new("Half", "CURVE")
    spline = curve.splines.new("BEZIER")
    spline.bezier_points.add(3)
    corners = [(0.0, -0.03), (0.04, -0.03), (0.04, 0.03), (0.0, 0.03)]
    for point, (x, y) in zip(spline.bezier_points, corners, strict=True):
        point.co = (x, y, 0.0)
        point.handle_left_type = point.handle_right_type = "VECTOR"
    half = bpy.data.objects.new("Half", curve)
    bpy.context.collection.objects.link(half)
    bpy.context.view_layer.objects.active = half
    bpy.context.view_layer.update()
    assert bpy.ops.flatwright.make_whole() == {"FINISHED"}
    assert curves.read_profile(half.data).area_mm2 == pytest.approx(80.0 * 60.0, abs=1e-3)
    assert not bpy.ops.flatwright.make_whole.poll()


def test_a_part_follows_an_edited_node_and_keeps_its_arcs_when_reopened(plate, curves, tmp_path):
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.ops.flatwright.make_part()
    part = bpy.context.object
    assert part.flatwright_part.is_part

    def widen(curve):
        points = curve.splines[0].bezier_points
        select(points, {k for k, p in enumerate(points) if p.co.x > 0.0})
        select(curve.splines[1].bezier_points, set())
        bpy.ops.transform.translate(value=(0.01, 0.0, 0.0))

    for other in bpy.context.selected_objects:
        other.select_set(False)
    plate.hide_set(False)
    plate.select_set(True)
    edit(plate, widen)
    bpy.ops.flatwright.rebuild_parts()
    name = part.name

    def check(shape):
        radii = sorted(a.radius_mm for a in arcs(shape))
        assert radii == pytest.approx([8.0, 8.0, 8.0, 8.0, 10.0], abs=1e-4)
        x0, _, x1, _ = shape.bounds_mm
        assert x1 - x0 == pytest.approx(90.0, abs=2e-3)

    check(curves.read_profile(bpy.data.objects[name].data))
    path = tmp_path / "plate.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(path))
    bpy.ops.wm.open_mainfile(filepath=str(path))
    check(curves.read_profile(bpy.data.objects[name].data))
