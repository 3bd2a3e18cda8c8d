"""Edges in doubt are kept with the outline, listed, shown and settled; all parts traced at once."""

from importlib import import_module

import bpy
import numpy as np
import pytest
from shapely import Point

pytestmark = pytest.mark.blender

LEFT, TOP = (-0.030, 0.0), (0.0, 0.020)


@pytest.fixture
def outline(package):
    """A rectangle of 60 × 40 mm, traced in a photo, with two edges in doubt."""
    shapes = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    thing = outlines.add_outline(bpy.context, "Plate", shapes.rectangle(60.0, 40.0))
    for place, off in (((-30.0, 0.0), 0.6), ((0.0, 20.0), 0.4)):
        kept = thing.flatwright_outline.doubts.add()
        kept.kind, kept.place_mm, kept.reach_mm, kept.off_mm = "faint", place, 8.0, off
    import_module(f"{package}.addon.outline.tracing.doubts").recount(thing)
    bpy.context.view_layer.update()
    return thing


def test_doubts_of_a_trace_are_kept_where_they_lie_on_the_outline(package, measured):
    photo = measured
    assert bpy.ops.flatwright.trace_all() == {"FINISHED"}
    (thing,) = [o for o in bpy.context.selected_objects if o.flatwright_outline.is_outline]
    assert_reading_is_kept(package, thing)
    record = import_module(f"{package}.addon.outline.tracing.doubts")
    doubt = import_module(f"{package}.geometry.outline.trace").Doubt
    curves = import_module(f"{package}.addon.blender.curves")
    bench = import_module(f"{package}.addon.bench.bench_record").read_bench(photo)
    profile = curves.read_profile(thing.data)
    start = np.array(profile.outer.segments[0].start) + thing.flatwright_outline.origin_mm
    (px,) = bench.to_photo([start], 5.0)
    record.keep_doubts(thing, [doubt("faint", (float(px[0]), float(px[1])), 40.0, 3.0)])
    (kept,) = thing.flatwright_outline.doubts
    assert tuple(kept.place_mm) == pytest.approx(profile.outer.segments[0].start, abs=0.01)
    assert kept.distance_mm < 0.01
    assert thing.flatwright_outline.open_doubts == 1
    # One click more finds its photo and its first click, as after a trace by hand.
    assert bpy.ops.flatwright.remove_from_trace.poll()


def assert_reading_is_kept(package, thing):
    """How surely the edge was read lies on the outline, is told, and weighs its two sides."""
    doubts = import_module(f"{package}.addon.outline.tracing.doubts")
    telling = import_module(f"{package}.addon.outline.tracing.telling")
    curves = import_module(f"{package}.addon.blender.curves")
    profile = curves.read_profile(thing.data)
    read = doubts.read_of(thing)
    assert 0.0 < read.usual_mm < 0.3
    edge = profile.polygon(0.01).boundary
    away = [edge.distance(Point(place)) for place in read.places_mm]
    assert np.percentile(away, 95) < 0.3
    told = telling.in_doubt(thing, profile)[0]
    assert told.startswith("Edge read on ")
    assert " %" in told
    assert "±" in told
    thing.flatwright_outline.read_record = "damaged"
    assert doubts.read_of(thing) is None
    thing.flatwright_outline.read_record = read.to_record()
    assert bpy.ops.flatwright.make_symmetric() == {"FINISHED"}
    made = bpy.context.object
    assert made.flatwright_outline.symmetry
    assert made.flatwright_outline.deviation_chance_mm > 0.0
    bpy.data.objects.remove(made)
    thing.hide_set(False)
    bpy.context.view_layer.objects.active = thing
    thing.select_set(True)


def test_a_symmetric_outline_blames_the_hand_only_beyond_what_was_read(package, outline):
    words = import_module(f"{package}.addon.outline.symmetrising").hand_was_off
    kept = outline.flatwright_outline
    kept.symmetry, kept.deviation_max_mm, kept.deviation_chance_mm = "Axis at 90.00°", 0.2, 0.26
    assert "within what was read" in words(outline)
    assert "Hand-cut" not in words(outline)
    kept.deviation_max_mm = 0.4
    assert "Hand-cut error up to" in words(outline)
    kept.passed_over = (1, 0, 0)
    assert "1 place left of the axis is in doubt: the right side was taken." in words(outline)
    kept.passed_over = (0, 2, 0)
    assert "the left side was taken" in words(outline)
    kept.passed_over = (0, 0, 1)
    assert "its other copies were taken" in words(outline)


def test_an_outline_is_framed_without_touching_its_radius(outline):
    outline.select_set(True)
    assert bpy.ops.flatwright.frame_outline() == {"FINISHED"}
    assert {point.radius for point in outline.data.splines[0].bezier_points} == {1.0}
    outline.select_set(False)
    assert not bpy.ops.flatwright.frame_outline.poll()


def test_each_doubt_is_shown_and_settled_by_itself_or_all_at_once(outline):
    kept = outline.flatwright_outline
    assert bpy.ops.flatwright.show_doubt(index=1) == {"FINISHED"}
    assert tuple(bpy.context.scene.cursor.location) == pytest.approx((*TOP, 0.0), abs=1e-6)
    assert bpy.ops.flatwright.settle_edges(index=1) == {"FINISHED"}
    assert [doubt.is_settled for doubt in kept.doubts] == [False, True]
    assert kept.open_doubts == 1
    assert bpy.ops.flatwright.settle_edges() == {"FINISHED"}
    assert kept.open_doubts == 0
    assert not bpy.ops.flatwright.show_doubt.poll()


def test_moving_a_node_at_a_doubt_settles_it_and_no_other(outline):
    for point in outline.data.splines[0].bezier_points:
        if point.co.x < 0.0:
            point.co.x -= 0.0004
    outline.data.update_tag()
    bpy.context.view_layer.update()
    assert [doubt.is_settled for doubt in outline.flatwright_outline.doubts] == [True, False]
    assert outline.flatwright_outline.open_doubts == 1


def test_renaming_and_moving_the_object_settle_nothing(outline):
    outline.name, outline.location.x = "Renamed", 0.1
    bpy.context.view_layer.update()
    assert outline.flatwright_outline.open_doubts == 2


def test_all_parts_need_a_grid_and_say_so(package, demo):
    bpy.ops.flatwright.add_photo(filepath=str(demo[0]))
    assert not bpy.ops.flatwright.trace_all.poll()
