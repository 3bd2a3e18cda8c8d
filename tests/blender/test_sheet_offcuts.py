"""Leftover sheets kept in the scene are filled first, and what a layout leaves is kept."""

from importlib import import_module

import bpy
import pytest
import shapely

pytestmark = pytest.mark.blender


@pytest.fixture
def leftover(package):
    """Add the outline of a leftover sheet: notched, with a hole."""
    shapes = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")

    def add():
        shape = shapely.box(0, 0, 220, 140) - shapely.box(150, 80, 230, 150)
        shape = shape - shapely.Point(40, 100).buffer(20)
        return outlines.add_outline(
            bpy.context, "Left outline", shapes.Profile.from_polygon(shape, 0.05)
        )

    return add


def sheets():
    return [o for o in bpy.context.scene.objects if o.flatwright_sheet.role == "SHEET"]


def labels(sheet):
    return sorted(o.flatwright_sheet.label for o in sheet.children if o.flatwright_sheet.label)


def test_a_kept_leftover_is_filled_first_and_the_rest_goes_on_whole_sheets(
    plate, leftover, package, tmp_path
):
    plate("Board", 250.0, 160.0)
    plate("Small", 90.0, 50.0)
    thing = leftover()
    assert bpy.ops.flatwright.keep_as_sheet() == {"FINISHED"}
    assert thing.name == "Offcut 1"
    assert bpy.ops.flatwright.lay_out() == {"FINISHED"}
    odd = [o for o in sheets() if o.flatwright_sheet.is_offcut]
    whole = [o for o in sheets() if not o.flatwright_sheet.is_offcut]
    assert [labels(o) for o in (*odd, *whole)] == [["Small"], ["Board"]]
    assert odd[0].flatwright_sheet.label == "Offcut 1"
    # It is filled in its own shape, notch and hole, so that it is seen as a sheet.
    (ground,) = (o for o in odd[0].children if o.flatwright_sheet.role == "GROUND")
    curves = import_module(f"{package}.addon.blender.curves")
    shape = curves.read_profile(ground.data)
    assert len(shape.holes) == 1
    assert shape.bounds_mm == pytest.approx((0.0, 0.0, 220.0, 140.0), abs=0.1)
    # Improving leaves it as it is.
    bpy.context.scene.flatwright_layout.seconds = 2
    assert bpy.ops.flatwright.improve_layout() == {"FINISHED"}
    odd = [o for o in sheets() if o.flatwright_sheet.is_offcut]
    assert [labels(o) for o in odd] == [["Small"]]
    assert import_module(f"{package}.addon.sheet.troubles").troubles(bpy.context) == ()
    # Its files are written, read back and checked like those of any sheet.
    assert bpy.ops.flatwright.save_cut_files(directory=str(tmp_path)) == {"FINISHED"}
    assert len(list(tmp_path.glob("*.dxf"))) == 2
    assert len(list(tmp_path.glob("*Offcut 1*.dxf"))) == 1
    assert "leftover “Offcut 1”" in next(tmp_path.glob("*.html")).read_text(encoding="utf-8")
    # A piece that is pushed into the hole is told of.
    piece = next(o for o in odd[0].children if o.flatwright_sheet.role == "PIECE")
    piece.location = (40e-3, 100e-3, 0.0)
    bpy.context.view_layer.update()
    troubles = import_module(f"{package}.addon.sheet.troubles")
    assert any(t.state == "outside" for t in troubles.troubles(bpy.context))
    thing.flatwright_offcut.is_used = False
    bpy.ops.flatwright.lay_out()
    assert not any(o.flatwright_sheet.is_offcut for o in sheets())


def test_what_a_layout_leaves_is_kept_with_names(plate):
    plate("Board", 250.0, 160.0)
    bpy.ops.flatwright.lay_out()
    assert bpy.ops.flatwright.keep_leftovers() == {"FINISHED"}
    kept = [o for o in bpy.context.scene.objects if o.flatwright_offcut.stock]
    assert [o.name for o in kept] == ["Offcut 1"]
    assert not kept[0].flatwright_offcut.is_used
    # Of 600 × 400 mm all but the board, its gap and the margins.
    assert max(kept[0].dimensions) > 0.39


def test_something_that_is_no_shape_is_not_kept(plate, leftover):
    plate("Board")
    thing = leftover()
    thing.data.splines[0].use_cyclic_u = False
    with pytest.raises(RuntimeError):
        bpy.ops.flatwright.keep_as_sheet()
    assert not thing.flatwright_offcut.stock
