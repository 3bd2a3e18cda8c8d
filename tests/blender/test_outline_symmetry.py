"""Axes and centres that are given, and the half or sector that is kept."""

import math
from importlib import import_module

import bpy
import numpy as np
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def lopsided(package):
    """An outline whose right half is 1 mm wider than its left."""
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    corners = [(-20.0, -15.0), (21.0, -15.0), (21.0, 15.0), (-20.0, 15.0)]
    shape = outline.Profile(outline.Loop.through(corners))
    thing = outlines.add_outline(bpy.context, "Plate", shape)
    return thing


@pytest.fixture
def read(package):
    curves = import_module(f"{package}.addon.blender.curves")
    return lambda: curves.read_profile(bpy.context.object.data)


def width(profile):
    x0, _, x1, _ = profile.bounds_mm
    return x1 - x0


def empty(x, turn=0.0):
    thing = bpy.data.objects.new("Axis", None)
    bpy.context.collection.objects.link(thing)
    thing.location, thing.rotation_euler = (x, 0.0, 0.1), (0.0, 0.0, turn)
    thing.select_set(True)
    bpy.context.view_layer.update()
    return thing


@pytest.mark.parametrize(("keep", "wide"), [("first", 40.0), ("second", 42.0), ("average", 41.0)])
def test_axis_of_an_empty_and_the_half_kept(lopsided, read, keep, wide):
    # The empty's Y axis points up through where the hand drew the middle. Left is first.
    empty(0.0)
    bpy.ops.flatwright.make_symmetric(place="object", keep=keep)
    assert width(read()) == pytest.approx(wide, abs=1e-6)


def test_axis_of_a_curve(lopsided, read):
    curve = bpy.data.curves.new("Line", "CURVE")
    spline = curve.splines.new("POLY")
    spline.points.add(1)
    spline.points[0].co, spline.points[1].co = (0.0, -0.1, 0.0, 1.0), (0.0, 0.1, 0.0, 1.0)
    thing = bpy.data.objects.new("Line", curve)
    bpy.context.collection.objects.link(thing)
    thing.select_set(True)
    bpy.context.view_layer.update()
    bpy.ops.flatwright.make_symmetric(place="object", keep="first")
    assert width(read()) == pytest.approx(40.0, abs=1e-6)


def test_mirrored_nodes_are_equal_to_a_nanometre_about_the_cursor(lopsided, read):
    bpy.ops.flatwright.make_symmetric(place="cursor", axis_deg=90.0)
    nodes = {(round(x, 9), round(y, 9)) for x, y in read().outer.nodes()}
    middle = bpy.context.object.matrix_world.translation.x * -1e3
    middle = round(middle, 5)
    assert all(
        any(
            math.isclose(2.0 * middle - x, u, abs_tol=1e-9) and math.isclose(y, v, abs_tol=1e-9)
            for u, v in nodes
        )
        for x, y in nodes
    )


def test_axis_through_two_places(lopsided, read):
    # The outline's origin lies at its middle, half a millimetre right of the hand's.
    bpy.ops.flatwright.make_symmetric(
        place="points", clicked_mm=(-0.5, -10.0, -0.5, 12.0), keep="first"
    )
    assert width(read()) == pytest.approx(40.0, abs=1e-6)
    bpy.ops.object.select_all(action="DESELECT")
    with pytest.raises(RuntimeError, match="No place was clicked"):
        bpy.ops.flatwright.make_symmetric(place="points")
    with pytest.raises(RuntimeError, match="farther apart"):
        bpy.ops.flatwright.make_symmetric(place="points", clicked_mm=(1.0, 1.0, 1.0, 1.1))


def test_a_plate_that_turns_and_mirrors(lopsided, read):
    bpy.ops.flatwright.make_symmetric(kind="dihedral", order=2)
    nodes = np.array(read().outer.nodes())
    assert len(nodes) == 4
    middle = nodes.mean(axis=0)
    assert np.abs(nodes - middle) == pytest.approx(np.tile((20.5, 15.0), (4, 1)), abs=1e-6)
    assert "with mirrors" in bpy.context.object.flatwright_outline.symmetry


def test_no_guide_or_no_symmetry_changes_nothing(lopsided):
    with pytest.raises(RuntimeError, match="one other object"):
        bpy.ops.flatwright.make_symmetric(place="object")
    bpy.context.scene.cursor.location = (0.05, 0.0, 0.0)
    with pytest.raises(RuntimeError, match="not symmetric"):
        bpy.ops.flatwright.make_symmetric(place="cursor")
    assert [o.name for o in bpy.data.objects] == ["Plate"]
