"""True scale from marks on the photo, given as a script gives them."""

from importlib import import_module

import bpy
import numpy as np
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


def seen(truth, points_mm):
    """Where the demo's camera sees places (N, 2) of its mat: pinhole, then radial lens terms."""
    points = np.column_stack((points_mm, np.zeros(len(points_mm))))
    x, y, depth = (points @ np.array(truth["rotation"]).T + truth["translation_mm"]).T
    x, y = x / depth, y / depth
    squared = x**2 + y**2
    lens = 1.0 + truth["k1"] * squared + truth["k2"] * squared**2
    return truth["focal_px"] * np.column_stack((x * lens, y * lens)) + truth["center_px"]


def flat(points):
    return [float(number) for point in points for number in point]


def scale_error(package, photo, truth, around, reach_mm=40.0):
    """How far the found scale is off near a place, as a share."""
    benches = import_module(f"{package}.addon.bench.bench_record")
    x, y = around
    ends = [(x - reach_mm, y), (x + reach_mm, y), (x, y - reach_mm), (x, y + reach_mm)]
    found = benches.read_bench(photo).to_plane(seen(truth, ends))
    apart = [np.hypot(*(found[i + 1] - found[i])) for i in (0, 2)]
    return max(abs(a / (2.0 * reach_mm) - 1.0) for a in apart)


@pytest.fixture
def photo(demo):
    path, truth = demo
    bpy.ops.flatwright.add_photo(filepath=str(path))
    return bpy.context.object, truth


def test_the_truths_camera_sees_the_part_where_it_is_clicked(demo):
    _, truth = demo
    middle = [np.array(truth["hand_cut_outer_mm"]).mean(axis=0)]
    assert np.hypot(*(seen(truth, middle)[0] - truth["inside_px"])) < 300.0


def test_grid_tells_its_squares_for_a_person_to_count(measured):
    settings = measured.flatwright_bench
    # The demo's mat has numbers from 0 to 40 and from 0 to 27 along its edges.
    assert tuple(settings.squares_seen) == (40, 27)
    assert (settings.reference, settings.found_from) == ("GRID", "GRID")


def test_rectangle_of_grid_squares(photo, package):
    thing, truth = photo
    corners = [(50.0, 150.0), (250.0, 150.0), (250.0, 50.0), (50.0, 50.0)]
    settings = thing.flatwright_bench
    settings.face_height_mm = 0.0
    bpy.ops.flatwright.mark_rectangle(
        corners_px=flat(seen(truth, corners)), sheet="CELLS", columns=20, rows=10, pitch=10 * MM
    )
    assert scale_error(package, thing, truth, (150.0, 100.0)) < 0.002
    assert settings.tilt_deg == pytest.approx(truth["tilt_deg"], abs=0.7)
    # The panel shows what was given, and the picture lies at true scale.
    assert (settings.reference, settings.found_from) == ("RECTANGLE", "RECTANGLE")
    assert (settings.sheet, settings.columns, settings.rows) == ("CELLS", 20, 10)
    assert thing.empty_display_size / MM == pytest.approx(530.0, abs=60.0)


@pytest.mark.parametrize("turned", [0, 1])
def test_card_either_way_round_and_its_tolerance(photo, package, turned):
    thing, truth = photo
    corners = np.array([(60.0, 60.0), (145.6, 60.0), (145.6, 113.98), (60.0, 113.98)])
    marks = seen(truth, np.roll(corners, turned, axis=0))
    bpy.ops.flatwright.mark_rectangle(corners_px=flat(marks), sheet="ID1")
    assert scale_error(package, thing, truth, (102.8, 87.0), 20.0) < 0.004
    # ± 0.13 mm on 85.6 mm is 0.15 mm on 100 mm at the worst, and no less than half of it here.
    assert thing.flatwright_bench.doubt_per_100_mm > 0.08


def test_length_tells_the_scale_and_what_it_cannot_tell(photo, package):
    thing, truth = photo
    ends = seen(truth, [(100.0, 100.0), (200.0, 100.0)])
    bpy.ops.flatwright.mark_length(a_px=ends[0], b_px=ends[1], length=100 * MM)
    benches = import_module(f"{package}.addon.bench.bench_record")
    a, b = benches.read_bench(thing).to_plane(ends)
    assert np.hypot(*(b - a)) == pytest.approx(100.0, abs=1e-3)
    settings = thing.flatwright_bench
    assert settings.found_from == "LENGTH"
    assert "tilted" in settings.warnings
    assert settings.length_mm == pytest.approx(100.0)


def test_what_is_not_typed_is_taken_from_the_panel(photo, package):
    thing, truth = photo
    thing.flatwright_bench.length_mm = 50.0
    thing.flatwright_bench.reference_height_mm = 5.0
    ends = seen(truth, [(100.0, 100.0), (150.0, 100.0)])
    bpy.ops.flatwright.mark_length(a_px=ends[0], b_px=ends[1])
    benches = import_module(f"{package}.addon.bench.bench_record")
    a, b = benches.read_bench(thing).to_plane(ends, 5.0)
    assert np.hypot(*(b - a)) == pytest.approx(50.0, abs=1e-3)


def test_length_in_a_scene_of_inches(photo, package):
    thing, truth = photo
    units = bpy.context.scene.unit_settings
    units.system, units.scale_length = "IMPERIAL", 0.0254
    ends = seen(truth, [(100.0, 100.0), (200.0, 100.0)])
    bpy.ops.flatwright.mark_length(a_px=ends[0], b_px=ends[1], length=100.0 / 25.4)
    assert thing.flatwright_bench.length_mm == pytest.approx(100.0, abs=1e-3)


@pytest.mark.parametrize(
    ("operator", "given", "words"),
    [
        ("mark_length", {}, "Mark both ends"),
        ("mark_length", {"a_px": (500, 500)}, "Mark both ends"),
        ("mark_length", {"a_px": (500, 500), "b_px": (505, 500)}, "longer stretch"),
        ("mark_length", {"a_px": (500, 500), "b_px": (900, 500), "length": 0.0}, "Type it again"),
        ("mark_rectangle", {}, "four corners"),
        ("mark_rectangle", {"corners_px": [9, 9, 900, 9, 9, 900, 900, 900]}, "in turn"),
        (
            "mark_rectangle",
            {"corners_px": [9, 9, 900, 9, 900, 900, 9, 900], "sheet": "TYPED", "width": 0.0},
            "width",
        ),
    ],
)
def test_bad_marks_are_refused_and_change_nothing(photo, operator, given, words):
    thing, _ = photo
    shown, length_mm = thing.data, thing.flatwright_bench.length_mm
    with pytest.raises(RuntimeError, match=words):
        getattr(bpy.ops.flatwright, operator)(**given)
    assert thing.flatwright_bench.record == ""
    assert thing.data == shown
    assert thing.flatwright_bench.length_mm == length_mm
    assert thing.flatwright_bench.reference == "GRID"


def test_marking_waits_for_a_photo():
    assert not bpy.ops.flatwright.mark_length.poll()
    assert not bpy.ops.flatwright.mark_rectangle.poll()


def test_pixels_are_found_on_the_photo_as_taken(photo, package):
    picking = import_module(f"{package}.addon.bench.photo_pixels")
    thing, truth = photo
    thing.location, thing.rotation_euler = (0.1, 0.2, 0.0), (0.0, 0.0, 0.3)
    bpy.context.view_layer.update()
    width, height = truth["size_px"]
    (corner,) = picking.places_of_photo_px(thing, [(-0.5, height - 0.5)])
    assert tuple(corner) == pytest.approx((0.1, 0.2, 0.0), abs=1e-6)
    (right,) = picking.places_of_photo_px(thing, [(width - 0.5, height - 0.5)])
    assert (right - corner).length == pytest.approx(0.4, rel=1e-5)
    marks = [(0.0, 0.0), (1234.5, 987.25)]
    for mark, place in zip(marks, picking.places_of_photo_px(thing, marks), strict=True):
        assert picking.photo_px_at(thing, place) == pytest.approx(mark, abs=0.01)


def test_pixels_are_found_on_the_straightened_photo(photo, package):
    picking = import_module(f"{package}.addon.bench.photo_pixels")
    thing, truth = photo
    ends = seen(truth, [(100.0, 100.0), (200.0, 100.0)])
    bpy.ops.flatwright.mark_length(a_px=ends[0], b_px=ends[1], length=100 * MM)
    thing.location = (0.1, 0.2, 0.0)
    bpy.context.view_layer.update()
    for mark, place in zip(ends, picking.places_of_photo_px(thing, ends), strict=True):
        assert picking.photo_px_at(thing, place) == pytest.approx(tuple(mark), abs=0.02)


def test_a_length_that_is_no_ruler_is_not_locked_on_to(photo):
    thing, truth = photo
    ends = seen(truth, [(103.0, 104.0), (108.0, 109.0)])
    with pytest.raises(RuntimeError, match=r"ticks"):
        bpy.ops.flatwright.mark_length(a_px=ends[0], b_px=ends[1], length=7 * MM, lock_on=True)
    assert thing.flatwright_bench.record == ""


def test_corners_without_edges_are_not_snapped(photo):
    thing, truth = photo
    corners = [(102.0, 104.0), (148.0, 104.0), (148.0, 138.0), (102.0, 138.0)]
    with pytest.raises(RuntimeError, match=r"side"):
        bpy.ops.flatwright.mark_rectangle(
            corners_px=flat(seen(truth, corners)),
            sheet="ID1",
            snap=True,
        )
    assert thing.flatwright_bench.record == ""
