"""Fit series, kerf test and library in Blender."""

import json
from importlib import import_module
from itertools import pairwise

import bpy
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def core(package):
    """The extension's own modules, as they are named inside Blender."""

    def module(name):
        return import_module(f"{package}.{name}")

    return module


@pytest.fixture
def stock():
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    found = bpy.context.scene.flatwright_stocks[0]
    found.thickness_mm = 2.7
    return found


@pytest.fixture
def settings(stock):
    return bpy.context.scene.flatwright_fit_series


def pieces():
    return sorted(
        (o for o in bpy.context.scene.objects if o.flatwright_part.trial),
        key=lambda o: o.flatwright_part.trial_mm,
    )


def slots(settings, first=2.6, last=3.0, step=0.1):
    settings.feature = "slot"
    settings.first_mm, settings.last_mm, settings.step_mm = first, last, step
    return bpy.ops.flatwright.make_fit_series()


def test_slot_coupons_become_parts_beside_each_other(settings):
    assert slots(settings) == {"FINISHED"}
    assert [round(o.flatwright_part.trial_mm, 3) for o in pieces()] == [2.6, 2.7, 2.8, 2.9, 3.0]
    bpy.context.view_layer.update()
    boxes = sorted((o.matrix_world.translation.x, o.dimensions.x) for o in pieces())
    for (left, width), (right, other) in pairwise(boxes):
        assert right - left > (width + other) / 2
    assert all(len(o.children) == 1 for o in pieces())


def test_the_piece_that_fitted_teaches_the_stock_and_its_slots(settings, stock):
    slots(settings)
    bpy.context.view_layer.objects.active = pieces()[3]
    settings.fit = "sliding"
    assert bpy.ops.flatwright.this_one_fitted() == {"FINISHED"}
    # 2.9 fitted the sheet of 2.7.
    assert stock.sliding_mm == pytest.approx(0.2)
    assert stock.measured == {"thickness", "sliding"}


def test_a_tab_needs_to_know_what_it_was_tried_on(settings, stock):
    settings.feature = "tab"
    settings.first_mm, settings.last_mm, settings.step_mm = 9.8, 10.2, 0.1
    bpy.ops.flatwright.make_fit_series()
    bpy.context.view_layer.objects.active = pieces()[0]
    with pytest.raises(RuntimeError, match="Type the measured size"):
        bpy.ops.flatwright.this_one_fitted()
    settings.mating_mm = 10.0
    bpy.ops.flatwright.this_one_fitted()
    assert stock.sliding_mm == pytest.approx(0.2)


def test_steps_finer_than_the_machine_repeats_are_refused_and_nothing_changes(settings):
    slots(settings)
    before = [o.name for o in pieces()]
    with pytest.raises(RuntimeError, match="cannot be told apart"):
        slots(settings, step=0.01)
    assert [o.name for o in pieces()] == before


def test_a_new_series_replaces_the_last_one_and_leaves_no_curves(settings):
    slots(settings)
    curves = len(bpy.data.curves)
    slots(settings)
    assert len(bpy.data.curves) == curves
    bpy.ops.flatwright.remove_fit_series()
    assert not pieces()
    assert len(bpy.data.curves) == 0


def test_the_range_is_proposed_from_what_is_in_doubt(settings, stock):
    stock.kerf_doubt_mm, settings.caliper_mm, settings.nominal_mm = 0.03, 0.04, 2.7
    bpy.ops.flatwright.propose_series()
    # The root of 0.03² + 0.04² is 0.05: one step of a laser's 0.05 either side.
    assert settings.first_mm == pytest.approx(2.65)
    assert settings.last_mm == pytest.approx(2.75)


def test_a_part_steps_its_own_slot(core, settings, stock):
    shapes = core("geometry.outline")
    profile = shapes.subtract(shapes.rectangle(60.0, 40.0), shapes.rectangle(2.9, 20.0, (0, 20.0)))
    outline = core("addon.outline.outline_objects").add_outline(
        bpy.context, "Plate outline", profile
    )
    bpy.context.view_layer.objects.active = outline
    bpy.ops.flatwright.make_part()
    plate = bpy.context.object
    settings.feature, settings.pieces = "slot", "part"
    bpy.ops.flatwright.read_feature()
    assert settings.nominal_mm == pytest.approx(2.9)
    settings.first_mm, settings.last_mm, settings.step_mm = 2.8, 3.0, 0.1
    bpy.context.view_layer.objects.active = plate
    bpy.ops.flatwright.make_fit_series()
    bpy.context.view_layer.update()
    # The plate reaches to 30 mm, and 40 mm are left free beside it.
    lefts = [o.matrix_world.translation.x - o.dimensions.x / 2 for o in pieces()]
    assert min(lefts) == pytest.approx(0.070, abs=1e-6)
    read = core("addon.blender.curves").read_profile
    removed = [60.0 * 40.0 - read(o.data).area_mm2 for o in pieces()]
    # The slot is 10 mm deep: each 0.1 mm of width takes 1 mm² more.
    assert removed == pytest.approx([28.0, 29.0, 30.0], abs=1e-3)


def test_lettering_reaches_the_files_as_marks(settings, tmp_path):
    import ezdxf

    slots(settings)
    bpy.ops.flatwright.lay_out()
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), anyway=True)
    (path,) = tmp_path.glob("*.dxf")
    layers = [e.dxf.layer.lower() for e in ezdxf.readfile(path).modelspace()]
    assert sum("mark" in layer for layer in layers) >= 5 * 3


def test_the_kerf_is_worked_out_from_the_gap(stock):
    test = bpy.context.scene.flatwright_kerf_test
    with pytest.raises(RuntimeError, match="measure the gap"):
        bpy.ops.flatwright.keep_kerf()
    # 10 strips need 11 cuts: a gap of 1.98 mm is 0.18 mm each, its doubt of 0.055 mm 0.005 each.
    test.strips, test.gap_mm, test.reading_mm = 10, 1.98, 0.055
    bpy.ops.flatwright.keep_kerf()
    assert stock.kerf_mm == pytest.approx(0.18)
    assert stock.kerf_doubt_mm == pytest.approx(0.005)
    assert stock.measured == {"thickness", "kerf"}


def test_an_impossible_gap_leaves_the_stock_as_it_was(stock):
    bpy.context.scene.flatwright_kerf_test.gap_mm = 5000.0
    with pytest.raises(RuntimeError, match="kerf"):
        bpy.ops.flatwright.keep_kerf()
    assert stock.kerf_mm == pytest.approx(0.2)
    assert stock.measured == {"thickness"}


def test_the_kerf_test_is_written_nominal(stock, tmp_path):
    import ezdxf

    bpy.ops.flatwright.save_kerf_test(directory=str(tmp_path))
    (path,) = tmp_path.glob("*.dxf")
    assert "kerf nominal" in path.name
    assert len(list(tmp_path.glob("*.svg"))) == 1
    assert ezdxf.readfile(path).modelspace()


def test_a_stock_goes_through_the_library_into_another_file(package, stock):
    stock.name, stock.sheets, stock.grain, stock.press_mm = "Birch", 4, "height", -0.05
    shelf = bpy.context.preferences.addons[package].preferences
    shelf.stocks.clear()
    bpy.ops.flatwright.save_to_library()
    stock.thickness_mm = 2.8
    bpy.ops.flatwright.save_to_library()
    assert [s.name for s in shelf.stocks] == ["Birch"]
    assert json.loads(shelf.stocks[0].record)["thickness_mm"] == 2.8
    bpy.ops.flatwright.add_from_library(name="Birch")
    names = [s.name for s in bpy.context.scene.flatwright_stocks]
    assert names == ["Birch", "Birch (2)"]
    copy = bpy.context.scene.flatwright_stocks[1]
    assert (copy.sheets, copy.grain) == (4, "height")
    assert copy.press_mm == pytest.approx(-0.05)
    assert copy.measured == stock.measured
    bpy.ops.wm.save_userpref()
    bpy.ops.wm.read_userpref()
    assert [s.name for s in bpy.context.preferences.addons[package].preferences.stocks] == ["Birch"]
    bpy.ops.flatwright.remove_from_library()
    assert not bpy.context.preferences.addons[package].preferences.stocks
