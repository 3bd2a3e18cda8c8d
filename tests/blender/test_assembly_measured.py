"""Objects measured by hand: made of rows, changed by them, and what their ± makes of gaps."""

import math
from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3
ROWS = "0\t60 ± 0.2\n50\t80 ± 0.2\n50\t70 ± 0.2\n90\t70 ± 0.2"


def measured():
    assert bpy.ops.flatwright.add_measured(table=ROWS, called="Lamp", doubt_mm=0.1) == {"FINISHED"}
    return bpy.context.object


def sizes(thing):
    bpy.context.view_layer.update()
    return [round(side / MM, 3) for side in thing.dimensions]


def test_rows_make_the_fixture_in_true_size_and_stay_on_it():
    thing = measured()
    assert thing.name == "Lamp"
    assert bpy.context.scene.flatwright_assembly.fixture == thing
    assert sizes(thing) == [80.0, 80.0, 90.0]
    kept = thing.flatwright_measured
    assert [(r.height_mm, r.width_mm) for r in kept.rows] == [(0, 60), (50, 80), (50, 70), (90, 70)]
    assert kept.rows[1].doubt_mm == pytest.approx(0.2)
    assert kept.rows[1].height_doubt_mm == pytest.approx(0.1)


def test_a_changed_row_changes_the_object_and_a_wrong_one_leaves_it_and_says_why():
    thing = measured()
    kept = thing.flatwright_measured
    kept.rows[3].height = 120.0 * MM
    kept.rows[1].width = 90.0 * MM
    assert sizes(thing) == [90.0, 90.0, 120.0]
    kept.rows[3].height = 10.0 * MM
    assert "up and down" in kept.trouble
    assert sizes(thing) == [90.0, 90.0, 120.0]
    kept.rows[3].height = 100.0 * MM
    assert not kept.trouble
    kept.row_index = 0
    bpy.ops.flatwright.add_reading()
    assert [r.height_mm for r in kept.rows] == [0, 25, 50, 50, 100]
    bpy.ops.flatwright.remove_reading()
    assert len(kept.rows) == 4
    bpy.ops.flatwright.paste_readings(table="0 40 x 30\n20 40 x 30")
    assert sizes(thing) == [40.0, 30.0, 20.0]
    with pytest.raises(RuntimeError, match="no rows"):
        bpy.ops.flatwright.paste_readings(table="nothing")
    assert sizes(thing) == [40.0, 30.0, 20.0]


def test_a_scene_without_a_table_gets_two_rows_to_begin_with():
    bpy.ops.flatwright.add_measured(section="box")
    assert sizes(bpy.context.object) == [60.0, 40.0, 100.0]
    before = len(bpy.data.meshes)
    with pytest.raises(RuntimeError, match="at one height"):
        bpy.ops.flatwright.add_measured(table="0 60\n0 50")
    assert len(bpy.data.meshes) == before


def test_the_readings_doubt_stands_at_the_gaps_and_in_the_fit_series(package, plate):
    thing = measured()
    shapes = import_module(f"{package}.geometry.outline")
    plate("Collar", lift=25.0, shape=shapes.ring(120.0, 74.6))
    bpy.ops.flatwright.check_assembly()
    check = bpy.context.object.flatwright_check
    # The cone is widest at the sheet's upper face, z = 26.5 mm: 70.6 mm; the gap is 2 mm.
    assert check.gap_mm == pytest.approx(2.0, abs=0.02)
    # The diameter is off by hypot(0.47, 0.53) * 0.2, the height by as much of 0.1, sloped 1 : 5.
    share = math.hypot(26.5 / 50.0, 23.5 / 50.0)
    assert check.gap_doubt_mm == pytest.approx(share * math.hypot(0.1, 0.2 * 0.1), rel=0.02)
    shown = import_module(f"{package}.addon.blender.units").show_gap
    assert shown(check.gap_mm, check.gap_doubt_mm, bpy.context.scene).startswith("2.00 ± 0.07 mm")
    series = bpy.context.scene.flatwright_fit_series
    series.feature, series.nominal_mm, series.caliper_mm = "ring bore", 70.0, 0.5
    bpy.ops.flatwright.propose_series()
    # ±0.2 of the rows at 70 mm, and not the caliper's usual ±0.5.
    assert series.last_mm - series.first_mm == pytest.approx(0.4, abs=0.11)
    thing.flatwright_measured.rows[3].doubt_mm = thing.flatwright_measured.rows[2].doubt_mm = 0.6
    bpy.ops.flatwright.propose_series()
    assert series.last_mm - series.first_mm == pytest.approx(1.2, abs=0.31)


def test_outlines_are_turned_and_pulled_into_objects_that_follow_when_made_again(package):
    shapes = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    half = shapes.rectangle(30.0, 80.0, (15.0, 40.0))
    outline = outlines.add_outline(bpy.context, "Vase outline", half)
    assert bpy.ops.flatwright.turn_outline(side="left") == {"FINISHED"}
    vase = bpy.context.object
    assert vase.name == "Vase Object"
    assert sizes(vase) == [60.0, 60.0, 80.0]
    bpy.context.view_layer.objects.active = outline
    assert bpy.ops.flatwright.pull_outline(height_mm=12.0) == {"FINISHED"}
    slab = bpy.context.object
    assert sizes(slab) == [30.0, 80.0, 12.0]
    slab.flatwright_measured.height = 20.0 * MM
    assert sizes(slab) == [30.0, 80.0, 20.0]
    outlines.rewrite_outline(outline, shapes.rectangle(40.0, 80.0))
    bpy.context.view_layer.update()
    making = import_module(f"{package}.addon.assembly.measured.making")
    assert making.is_of_changed_outline(slab)
    assert bpy.ops.flatwright.make_measured() == {"FINISHED"}
    assert sizes(slab) == [40.0, 80.0, 20.0]
    assert not making.is_of_changed_outline(slab)


def test_a_job_that_begins_with_the_object_shows_millimetres():
    unit = bpy.context.scene.unit_settings
    unit.length_unit = "METERS"
    bpy.ops.flatwright.add_measured(table="0 60\n40 70")
    assert unit.length_unit == "MILLIMETERS"
