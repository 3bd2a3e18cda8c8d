"""Further clicks on a traced outline add up, each is one step, and bad ones change nothing."""

import sys
from importlib import import_module
from pathlib import Path

import bpy
import numpy as np
import pytest
from PIL import Image
from shapely import LineString, Point, box

pytestmark = pytest.mark.blender

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "core"))

PLATE, SCALE = box(-20, -12, 20, 12), 10.0
SIZE = (640, 480)


@pytest.fixture
def show(package, tmp_path):
    """Add a picture as a photo whose bench is known."""

    def add(bench, pixels):
        path = tmp_path / "plate.png"
        Image.fromarray(np.asarray(pixels)).save(path)
        bpy.ops.flatwright.add_photo(filepath=str(path))
        photo = bpy.context.object
        own = import_module(f"{package}.geometry.bench")
        record = import_module(f"{package}.geometry.bench.record")
        camera = own.Camera(*(getattr(bench.camera, n) for n in bench.camera.__slots__))
        photo.flatwright_bench.record = record.bench_to_record(own.Bench(SIZE, camera))
        photo.flatwright_bench.face_height_mm = 0.0

    return add


@pytest.fixture
def traced(show):
    """A plate with tape like the bench on its edge and a small hole, traced with one click."""
    pictures = import_module("part_pictures")
    bench = pictures.camera_over(SIZE, SCALE)
    tape, hole = box(12, 6, 20, 12), Point(5, 0).buffer(0.9, quad_segs=60)
    show(bench, pictures.picture(bench, PLATE - hole, patches=[(tape, (0.02, 0.06, 0.055))]))

    def click(x, y):
        ((px, py),) = bench.to_photo(np.array([[x, y]]), 0.0)
        return (float(px), float(py))

    bpy.ops.flatwright.trace_outline(inside_px=click(-6.0, 0.0))
    return bpy.context.object, click


@pytest.fixture
def read(package):
    curves = import_module(f"{package}.addon.blender.curves")
    return lambda thing: curves.read_profile(thing.data)


def test_clicks_add_up_and_the_outline_stays_where_it_is(traced, read):
    outline, click = traced
    before = read(outline)
    assert before.holes == ()
    assert before.area_mm2 < PLATE.area - 40.0
    place = outline.location.copy()
    assert bpy.ops.flatwright.add_to_trace(place_px=click(16.0, 9.0)) == {"FINISHED"}
    assert bpy.ops.flatwright.remove_from_trace(place_px=click(5.0, 0.0)) == {"FINISHED"}
    after = read(outline)
    (hole,) = after.holes
    assert hole.is_circle
    # The plate of 40 × 24 mm, less a hole of 1.8 mm across.
    assert after.area_mm2 == pytest.approx(960.0 - np.pi * 0.81, abs=8.0)
    assert [c.is_removed for c in outline.flatwright_outline.clicks] == [False, True]
    assert outline.location == place
    x0, y0, _, _ = after.bounds_mm
    assert x0 + outline.location.x * 1e3 == pytest.approx(-20.0, abs=0.1)
    assert y0 + outline.location.y * 1e3 == pytest.approx(-12.0, abs=0.1)


def test_a_bad_click_leaves_the_outline_and_its_clicks(traced, read):
    outline, click = traced
    before = read(outline)
    with pytest.raises(RuntimeError, match="no other colour"):
        bpy.ops.flatwright.remove_from_trace(place_px=click(-10.0, 5.0))
    with pytest.raises(RuntimeError, match="No place was given"):
        bpy.ops.flatwright.add_to_trace()
    assert read(outline) == before
    assert len(outline.flatwright_outline.clicks) == 0


def test_clicks_survive_saving_and_hand_edits_are_told(traced, read, tmp_path):
    outline, click = traced
    bpy.ops.flatwright.add_to_trace(place_px=click(16.0, 9.0))
    added = read(outline).area_mm2
    outline.data.splines[0].bezier_points[0].co.x += 0.002
    path = tmp_path / "plate.blend"
    name = outline.name
    bpy.ops.wm.save_as_mainfile(filepath=str(path))
    bpy.ops.wm.open_mainfile(filepath=str(path))
    outline = bpy.data.objects[name]
    bpy.context.view_layer.objects.active = outline
    assert bpy.ops.flatwright.remove_from_trace(place_px=click(5.0, 0.0)) == {"FINISHED"}
    assert read(outline).area_mm2 == pytest.approx(added - np.pi * 0.81, abs=0.2)


def test_only_traced_outlines_take_another_click(traced):
    bpy.ops.flatwright.add_circle()
    assert not bpy.ops.flatwright.add_to_trace.poll()
    assert not bpy.ops.flatwright.remove_from_trace.poll()


def test_what_was_refused_takes_a_click_on_the_bench_and_becomes_an_outline(package, show, read):
    pictures = import_module("part_pictures")
    bench, kraft = pictures.camera_over(SIZE, SCALE), pictures.KRAFT
    face = tuple(1.2 * value for value in kraft)
    look = {"face": face, "bed": kraft, "grain": 0.3, "shadow": (1.0, 0.6)}
    show(bench, pictures.picture(bench, PLATE, **look))
    photo = bpy.context.object
    at, beside = (
        tuple(map(float, bench.to_photo(np.array([place]), 0.0)[0]))
        for place in ((0.0, -8.0), (-26.0, -5.0))
    )
    assert not bpy.ops.flatwright.remove_from_trace.poll()
    count = len(bpy.data.objects)
    with pytest.raises(RuntimeError, match="Remove from Trace"):
        bpy.ops.flatwright.trace_outline(inside_px=at)
    assert len(bpy.data.objects) == count
    assert bpy.ops.flatwright.remove_from_trace(place_px=beside) == {"FINISHED"}
    outline = bpy.context.object
    assert outline != photo
    assert read(outline).area_mm2 == pytest.approx(PLATE.area, rel=0.03)
    assert [c.is_removed for c in outline.flatwright_outline.clicks] == [True]
    # From now on further clicks are on the new outline.
    assert bpy.ops.flatwright.remove_from_trace(place_px=beside) == {"FINISHED"}
    assert len(bpy.data.objects) == count + 1


def test_the_outline_lies_on_the_photo_clicked_on_whatever_is_chosen_meanwhile(
    package, show, monkeypatch
):
    pictures = import_module("part_pictures")
    bench = pictures.camera_over(SIZE, SCALE)
    by_click = import_module(f"{package}.addon.outline.tracing.by_click")
    show(bench, pictures.picture(bench, PLATE))
    first = bpy.context.object
    show(bench, pictures.picture(bench, PLATE, seed=2))
    second = bpy.context.object
    bpy.context.view_layer.objects.active = first
    before = by_click.seeking

    def seeking(*asked):
        seek = before(*asked)

        def sought(*given):
            # In the background work runs on this thread; a window stays usable beside it.
            bpy.context.view_layer.objects.active = second
            return seek(*given)

        return sought

    monkeypatch.setattr(by_click, "seeking", seeking)
    ((x, y),) = bench.to_photo(np.array([[-6.0, 0.0]]), 0.0)
    assert bpy.ops.flatwright.trace_outline(inside_px=(float(x), float(y))) == {"FINISHED"}
    assert bpy.context.object.flatwright_outline.photo == first


def test_a_drawn_line_is_traced_along_its_middle(package, show, read):
    pictures = import_module("part_pictures")
    bench = pictures.camera_over(SIZE, SCALE)
    rim = Point(2, 1).buffer(9.0, quad_segs=60).exterior.buffer(0.3)
    sheet = box(-24, -18, 24, 18)
    pixels = pictures.picture(bench, sheet, patches=[(rim, pictures.DARKER)])
    show(bench, pixels)
    ((x, y),) = bench.to_photo(np.array([[0.0, 0.0]]), 0.0)
    assert bpy.ops.flatwright.trace_drawn(near_px=(float(x), float(y))) == {"FINISHED"}
    sketch = bpy.context.object
    (arc,) = read(sketch).segments()
    assert arc.radius_mm == pytest.approx(9.0, abs=0.05)
    assert tuple(sketch.location) == pytest.approx((0.002, 0.001, 0.0), abs=5e-5)
    # It is no traced part: a further click would look for one.
    assert not bpy.ops.flatwright.add_to_trace.poll()
    with pytest.raises(RuntimeError, match="No place was given"):
        bpy.ops.flatwright.trace_drawn()


def test_a_photo_read_ahead_is_the_photo_or_says_what_reading_it_said(package, traced):
    photos = import_module(f"{package}.addon.photo.packed_photo")
    image = next(o for o in bpy.data.objects if o.flatwright_bench.record)
    read = photos.packed_photo(image.flatwright_photo)
    ahead = photos.ReadAhead(read)
    assert np.array_equal(ahead().pixels, read().pixels)
    assert ahead() is ahead()

    def fails():
        raise ValueError("cut short")

    with pytest.raises(ValueError, match="cut short"):
        photos.ReadAhead(fails)()


def test_an_open_drawn_line_is_traced_and_kept_on_the_part_it_was_drawn_on(package, show, plate):
    pictures = import_module("part_pictures")
    bench = pictures.camera_over(SIZE, SCALE)
    pen = LineString([(-12, -4), (11, 5)]).buffer(0.3)
    sheet = box(-24, -18, 24, 18)
    show(bench, pictures.picture(bench, sheet, patches=[(pen, pictures.DARKER)]))
    ((x, y),) = bench.to_photo(np.array([[-0.5, 0.5]]), 0.0)
    assert bpy.ops.flatwright.trace_drawn(near_px=(float(x), float(y))) == {"FINISHED"}
    line = bpy.context.object
    a, b = (1e3 * point.co for point in line.data.splines[0].bezier_points)
    ends = sorted(((a.x, a.y), (b.x, b.y)))
    assert ends[0] == pytest.approx((-12.0, -4.0), abs=0.15)
    assert ends[1] == pytest.approx((11.0, 5.0), abs=0.15)
    assert not line.flatwright_outline.is_outline
    part = plate("Plate", 40.0, 30.0, upright=True, lift=60.0)
    line.select_set(True)
    part.select_set(True)
    bpy.context.view_layer.objects.active = part
    assert bpy.ops.flatwright.keep_lines(purpose="score") == {"FINISHED"}
    (shown,) = part.children
    places = [part.matrix_world @ p.co.to_3d() for p in shown.data.splines[0].points]
    # The part stands upright, so the line drawn flat on the mock-up stands with it.
    assert sorted(round(1e3 * p.z - 60.0, 0) for p in places) == [-4.0, 5.0]
