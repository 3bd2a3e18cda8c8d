"""The axis an outline was made symmetric about: kept, moved, refused, and told apart from edits."""

import math
from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def core(package):
    return lambda name: import_module(f"{package}.{name}")


@pytest.fixture
def plate(core):
    """An outline whose right half is 1 mm wider than its left, its own origin in the middle."""
    outline = core("geometry.outline")
    corners = [(-20.5, -15.0), (20.5, -15.0), (20.5, 15.0), (-20.5, 15.0)]
    shape = outline.Profile(outline.Loop.through(corners))
    return core("addon.outline.outline_objects").add_outline(bpy.context, "Plate", shape)


@pytest.fixture
def bounds(core):
    return lambda: core("addon.blender.curves").read_profile(bpy.context.object.data).bounds_mm


@pytest.fixture
def about(core):
    return lambda: core("addon.outline.axis_record").kept_axis(bpy.context.object).about


def test_the_axis_given_is_kept_to_the_last_digit_and_in_the_file(plate, about, core, tmp_path):
    bpy.ops.flatwright.make_symmetric(place="points", clicked_mm=(-0.5, -10.0, -0.5, 12.0))
    assert about() == core("geometry.outline").Axis((-0.5, -10.0), math.pi / 2.0)
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "axis.blend"))
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "axis.blend"))
    assert about() == core("geometry.outline").Axis((-0.5, -10.0), math.pi / 2.0)


def test_a_moved_axis_makes_the_same_outline_anew(plate, bounds, about):
    bpy.ops.flatwright.make_symmetric(
        place="points", clicked_mm=(0.0, -9.0, 0.0, 9.0), keep="first"
    )
    made = bpy.context.object
    assert bpy.ops.flatwright.move_axis(point_mm=(-1.0, 0.0), axis_deg=90.0) == {"FINISHED"}
    assert bpy.context.object == made
    assert len(bpy.data.objects) == 2
    # The left side is kept, as before: 19.5 mm of it either side of the new axis.
    x0, _, x1, _ = bounds()
    assert (x0, x1) == pytest.approx((-20.5, 18.5), abs=1e-6)
    assert about().point == (-1.0, 0.0)
    # Back again, and nothing is left of the way there.
    bpy.ops.flatwright.move_axis(point_mm=(0.0, 0.0), axis_deg=90.0)
    assert bounds() == pytest.approx((-20.5, -15.0, 20.5, 15.0), abs=1e-6)


def test_a_centre_moves_without_a_direction(plate, about):
    bpy.ops.flatwright.make_symmetric(kind="rotational", order=2)
    assert about() == pytest.approx((0.0, 0.0), abs=1e-6)
    bpy.ops.flatwright.move_axis(point_mm=(0.5, 0.25))
    assert about() == (0.5, 0.25)


def test_a_star_keeps_its_centre_and_turns_its_axes(plate, about):
    bpy.ops.flatwright.make_symmetric(kind="dihedral", order=2)
    bpy.ops.flatwright.move_axis(point_mm=(0.0, 0.0), axis_deg=1.0)
    assert about().angle_rad == pytest.approx(math.radians(1.0))


def test_what_is_not_symmetric_there_changes_nothing(plate, bounds, about):
    bpy.ops.flatwright.make_symmetric()
    before, axis = bounds(), about()
    with pytest.raises(RuntimeError, match="not symmetric"):
        bpy.ops.flatwright.move_axis(point_mm=(30.0, 0.0), axis_deg=90.0)
    with pytest.raises(RuntimeError, match="No axis was given"):
        bpy.ops.flatwright.move_axis()
    assert bounds() == before
    assert about() == axis


def test_it_waits_for_a_symmetric_outline_whose_hand_cut_one_is_there(plate):
    assert not bpy.ops.flatwright.move_axis.poll()
    bpy.ops.flatwright.make_symmetric()
    assert bpy.ops.flatwright.move_axis.poll()
    bpy.data.objects.remove(bpy.data.objects["Plate"])
    assert not bpy.ops.flatwright.move_axis.poll()


def test_edits_that_are_replaced_are_told(plate, core):
    axes = core("addon.outline.axis_record")
    bpy.ops.flatwright.make_symmetric()
    made = bpy.context.object
    assert not axes.is_edited(made, axes.kept_axis(made))
    made.data.splines[0].bezier_points[0].co.x += 0.002
    assert axes.is_edited(made, axes.kept_axis(made))
    bpy.ops.flatwright.move_axis(point_mm=(0.0, 0.0), axis_deg=90.0)
    assert not axes.is_edited(made, axes.kept_axis(made))


def test_an_older_file_without_the_axis_has_no_handles(plate, core):
    bpy.ops.flatwright.make_symmetric()
    bpy.context.object.flatwright_outline.symmetry_record = ""
    axes = core("addon.outline.axis_record")
    assert axes.kept_axis(bpy.context.object) is None
    assert axes.axis_handles(bpy.context.object) is None


def test_a_chain_line_begins_and_ends_long_and_fits_between_its_ends(core):
    import numpy as np

    lines = core("addon.blender.screen").chain_line(np.array([[10.0, 20.0], [310.0, 20.0]]), 1.0)
    lengths = [b[0] - a[0] for a, b in sorted(lines)]
    assert sorted(lines)[0][0] == pytest.approx((10.0, 20.0))
    assert sorted(lines)[-1][1] == pytest.approx((310.0, 20.0))
    # Long and short in turn.
    assert lengths[0] == pytest.approx(lengths[-1])
    assert all(a > 4.0 * b for a, b in zip(lengths[::2], lengths[1::2], strict=False))
