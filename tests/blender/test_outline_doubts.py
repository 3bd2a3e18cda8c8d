"""Edges in doubt are kept with the outline, listed, shown and settled; all parts traced at once."""

from importlib import import_module

import bpy
import numpy as np
import pytest

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


def test_doubts_of_a_trace_are_kept_where_they_lie_on_the_outline(package, demo):
    bpy.ops.flatwright.add_photo(filepath=str(demo[0]))
    photo = bpy.context.object
    photo.flatwright_bench.pitch_mm, photo.flatwright_bench.face_height_mm = 10.0, 5.0
    bpy.ops.flatwright.find_grid()
    assert bpy.ops.flatwright.trace_all() == {"FINISHED"}
    (thing,) = [o for o in bpy.context.selected_objects if o.flatwright_outline.is_outline]
    record = import_module(f"{package}.addon.outline.tracing.doubts")
    doubt = import_module(f"{package}.geometry.outline.edge_trace").Doubt
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
