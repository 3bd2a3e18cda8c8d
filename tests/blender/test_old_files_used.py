"""What files of version 0.1.0 kept for later is of use: traced, moved, accepted, laid out again."""

import bpy
import numpy as np
import pytest

from tests.blender.old_files import CUT_MM, differences, open_copy
from tests.blender.old_records import Readers

pytestmark = pytest.mark.blender


@pytest.fixture
def every(package, tmp_path):
    """The file with every record opened."""
    return open_copy("every record", tmp_path)


@pytest.fixture
def readers(package):
    return Readers(package)


def choose(thing):
    """Make an object of the scene the active and only selected one."""
    bpy.ops.object.select_all(action="DESELECT")
    thing.hide_set(False)
    thing.select_set(True)
    bpy.context.view_layer.objects.active = thing
    return thing


def profile(readers, thing):
    return readers.of("blender.curves").read_profile(thing.data)


def test_a_photo_gives_its_scale_and_outline_again(every, readers):
    then, _ = every
    photo = choose(bpy.data.objects["Mat with plate"])
    assert bpy.ops.flatwright.find_grid() == {"FINISHED"}
    places = readers.benches()[photo.name]["places_mm"]
    was = then["records"]["benches"][photo.name]["places_mm"]
    np.testing.assert_allclose(places, was, atol=0.05)
    # What was marked beside the grid is still held against it.
    assert "82 ± " in photo.flatwright_bench.contradictions
    kept = bpy.data.objects["Plate traced"].flatwright_outline
    bpy.ops.flatwright.trace_outline(inside_px=tuple(kept.inside_px), tolerance_mm=0.12)
    for click in kept.clicks:
        again = bpy.ops.flatwright.remove_from_trace if click.is_removed else None
        (again or bpy.ops.flatwright.add_to_trace)(place_px=tuple(click.place_px))
    area = profile(readers, bpy.context.object).area_mm2
    was = then["records"]["profiles"]["Mat with plate outline"]["area_mm2"]
    # A tenth of a millimetre round the plate of 47 × 56 mm is 20 mm².
    assert area == pytest.approx(was, abs=20.0)


def test_an_axis_is_moved_about_the_hidden_hand_cut_outline(every, readers):
    thing = choose(bpy.data.objects["Plate mirrored"])
    source = thing.flatwright_outline.traced
    assert source.hide_get()
    assert bpy.ops.flatwright.move_axis(point_mm=(-0.1, 0.0), axis_deg=90.0) == {"FINISHED"}
    assert thing.flatwright_outline.symmetry == "Axis at 90.00°"
    found, hand = profile(readers, thing), profile(readers, source)
    x0, _, x1, _ = found.bounds_mm
    assert (x0 + x1) / 2.0 == pytest.approx(-0.1, abs=1e-4)
    assert found.area_mm2 == pytest.approx(hand.area_mm2, rel=0.01)


def test_suggestions_are_accepted_and_a_half_made_whole(every, readers):
    nearly = choose(bpy.data.objects["hand cut nearly"])
    count = len(nearly.flatwright_suggestions.items)
    assert bpy.ops.flatwright.accept_suggestion(index=-1) == {"FINISHED"}
    assert count == 6
    accepted = profile(readers, nearly)
    x0, y0, x1, y1 = accepted.bounds_mm
    assert accepted.area_mm2 == pytest.approx((x1 - x0) * (y1 - y0), abs=1e-3)
    half = choose(bpy.data.objects["Half"])
    assert bpy.ops.flatwright.make_whole() == {"FINISHED"}
    assert profile(readers, half).area_mm2 > 0.0
    assert half.flatwright_outline.is_outline


def test_steps_are_taken_away_and_parts_shown_again(every, readers):
    things = readers.of("state.things").part_objects(bpy.context)
    assert all(thing.hide_get() for thing in things)
    assert bpy.ops.flatwright.hide_steps() == {"FINISHED"}
    assert not any(thing.hide_get() for thing in things)
    assert not [o for o in bpy.data.objects if o.flatwright_step_of is not None]
    # What was found still holds, so they can be shown anew.
    then, _ = every
    assert bpy.ops.flatwright.show_steps() == {"FINISHED"}
    assert differences(readers.shown()["steps"], then["records"]["shown"]["steps"], CUT_MM) == []


def test_copies_stay_one_shape_and_pins_hold(every, readers):
    then, _ = every
    parts = then["records"]["parts"]["Job"]
    assert {parts[n]["curve"] for n in ("Rib", "Rib.001", "Rib.002", "Rib.003")} == {"Rib"}
    ribs = {bpy.data.objects[n].data for n in ("Rib", "Rib.001", "Rib.002", "Rib.003")}
    assert len(ribs) == 1
    pinned = [p for s in then["records"]["sheets"]["Job"].values() for p in s if p["pinned"]]
    assert bpy.ops.flatwright.lay_out() == {"FINISHED"}
    laid = [p for s in readers.sheets().values() for p in s if p["pinned"]]
    assert len(pinned) == 2
    assert differences(laid, pinned, CUT_MM) == []


def test_a_stock_measured_anew_is_followed_by_every_slot(every, readers):
    stock = bpy.context.scene.flatwright_stocks["Birch plywood"]
    rib = bpy.data.objects["Rib"]
    before = profile(readers, rib).area_mm2
    stock.thickness_mm = stock.thickness_mm + 0.2
    assert readers.of("assembly.rebuilding").rebuild_parts(bpy.context) == 26
    # The ring of 150 mm crosses the rib, 40 mm off the axis, along 35 mm: its slot takes half.
    assert before - profile(readers, rib).area_mm2 == pytest.approx(0.2 * 35.0 / 2.0, abs=1e-2)
    assert stock.measured == {"thickness", "kerf", "press", "sliding", "loose"}
