"""Exact shapes and booleans as Blender's own menus and tools offer them."""

import math
from importlib import import_module

import bpy
import pytest
from mathutils import Matrix

pytestmark = pytest.mark.blender


@pytest.fixture
def read(package):
    """Read an outline's profile."""
    curves = import_module(f"{package}.addon.blender.curves")
    return lambda thing: curves.read_profile(thing.data)


def test_every_shape_lies_at_the_cursor_with_its_exact_area(read):
    bpy.context.scene.cursor.location = (0.03, -0.02, 0.5)
    # From memory, school geometry: disc, ring, rectangle less its corners, stadium, hexagon
    # across flats d: d²√3/2, sector.
    cases = (
        ("circle", {"diameter_mm": 40}, math.pi * 400.0),
        ("ring", {"outer_mm": 60, "inner_mm": 30}, math.pi * (900.0 - 225.0)),
        (
            "rectangle",
            {"width_mm": 80, "height_mm": 50, "radius_mm": 5},
            4000.0 - (4.0 - math.pi) * 25.0,
        ),
        ("slot", {"length_mm": 40, "width_mm": 8}, 32.0 * 8.0 + math.pi * 16.0),
        (
            "polygon",
            {"sides": 6, "diameter_mm": 40, "across": "flats"},
            1600.0 * math.sqrt(3.0) / 2.0,
        ),
        (
            "sector",
            {"outer_mm": 80, "inner_mm": 40, "sweep": math.radians(90.0)},
            math.pi * (1600.0 - 400.0) / 4.0,
        ),
    )
    for name, sizes, area in cases:
        getattr(bpy.ops.flatwright, f"add_{name}")(**sizes)
        thing = bpy.context.object
        assert read(thing).area_mm2 == pytest.approx(area, rel=1e-9), name
        if name != "sector":
            assert tuple(thing.location) == pytest.approx((0.03, -0.02, 0.0), abs=1e-7)
    bpy.ops.flatwright.add_ring(outer_mm=60, inner_mm=30, at_height=True)
    assert tuple(bpy.context.object.location) == pytest.approx((0.03, -0.02, 0.5), abs=1e-7)


def test_a_line_lies_at_the_cursor_in_its_length_and_turn():
    bpy.context.scene.cursor.location = (0.03, -0.02, 0.5)
    bpy.ops.flatwright.add_line(length_mm=40.0, turn=math.radians(30.0), at_height=True)
    thing = bpy.context.object
    assert tuple(thing.location) == pytest.approx((0.03, -0.02, 0.5), abs=1e-7)
    a, b = (point.co for point in thing.data.splines[0].bezier_points)
    assert (b - a).length == pytest.approx(0.04, abs=1e-8)
    assert math.atan2(b.y - a.y, b.x - a.x) == pytest.approx(math.radians(30.0), abs=1e-6)
    with pytest.raises(RuntimeError, match="length of a line"):
        bpy.ops.flatwright.add_line(length_mm=0.0)


def test_a_size_that_makes_no_shape_is_a_sentence():
    with pytest.raises(RuntimeError, match="no room for a bore"):
        bpy.ops.flatwright.add_ring(outer_mm=30, inner_mm=40)
    assert not bpy.data.objects


def two(read):
    bpy.ops.flatwright.add_circle(diameter_mm=20)
    disc = bpy.context.object
    disc.location = (0.04, 0.0, 0.0)
    bpy.ops.flatwright.add_rectangle(width_mm=80, height_mm=50)
    plate = bpy.context.object
    disc.select_set(True)
    bpy.context.view_layer.update()
    return plate, disc


def test_cut_keeps_the_arc_and_takes_the_cutter(read):
    plate, _ = two(read)
    assert bpy.ops.flatwright.combine_outlines(kind="subtract") == {"FINISHED"}
    assert [o.name for o in bpy.data.objects] == [plate.name]
    made = read(plate)
    arcs = [s for s in made.segments() if hasattr(s, "radius_mm")]
    assert len(arcs) == 1
    assert arcs[0].radius_mm == pytest.approx(10.0, abs=1e-6)
    assert made.area_mm2 == pytest.approx(4000.0 - math.pi * 50.0, abs=1e-4)


def test_join_and_common_of_a_turned_outline(read):
    plate, disc = two(read)
    disc.matrix_world = Matrix.Translation((0.04, 0, 0)) @ Matrix.Rotation(0.3, 4, "Z")
    bpy.context.view_layer.update()
    bpy.ops.flatwright.combine_outlines(kind="union", keep_others=True)
    assert read(plate).area_mm2 == pytest.approx(4000.0 + math.pi * 50.0, abs=1e-3)
    bpy.ops.flatwright.combine_outlines(kind="intersect")
    assert read(plate).area_mm2 == pytest.approx(math.pi * 100.0, abs=1e-3)


def test_what_falls_apart_or_lies_elsewhere_changes_nothing(read):
    plate, disc = two(read)
    before = read(plate)
    disc.location = (0.5, 0.0, 0.0)
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match="separate pieces"):
        bpy.ops.flatwright.combine_outlines(kind="union")
    disc.location = (0.04, 0.0, 0.2)
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match="one plane"):
        bpy.ops.flatwright.combine_outlines(kind="subtract")
    disc.location = (0.04, 0.0, 0.0)
    disc.scale = (2.0, 1.0, 1.0)
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match="scaled"):
        bpy.ops.flatwright.combine_outlines(kind="subtract")
    assert read(plate) == before
    assert len(bpy.data.objects) == 2


def test_a_copy_that_shares_the_curve_is_left_alone(read):
    plate, _disc = two(read)
    copy = plate.copy()
    bpy.context.collection.objects.link(copy)
    copy.select_set(False)
    bpy.ops.flatwright.combine_outlines(kind="subtract")
    assert read(copy).area_mm2 == pytest.approx(4000.0, abs=1e-6)


def test_sizes_can_be_given_in_the_scenes_units_too(package):
    curves = import_module(f"{package}.addon.blender.curves")
    bpy.ops.flatwright.add_circle(diameter=0.05)
    (arc,) = curves.read_profile(bpy.context.object.data).segments()
    assert arc.radius_mm == pytest.approx(25.0, abs=1e-9)
    # A size in millimetres after one in units, and the other way round.
    bpy.ops.flatwright.add_rectangle(width=0.03, height_mm=20.0)
    x0, y0, x1, y1 = curves.read_profile(bpy.context.object.data).bounds_mm
    assert (x1 - x0, y1 - y0) == pytest.approx((30.0, 20.0), abs=1e-9)
    bpy.context.scene.unit_settings.scale_length = 0.001
    bpy.ops.flatwright.add_slot(length=40.0, width=6.0)
    area = curves.read_profile(bpy.context.object.data).area_mm2
    assert area == pytest.approx(34.0 * 6.0 + math.pi * 9.0, rel=1e-9)
