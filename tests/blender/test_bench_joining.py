"""Two photos of a mock-up longer than either, joined, traced and told when they are out of date."""

from importlib import import_module

import bpy
import numpy as np
import pytest

from geometry.photo import encode_jpeg
from tests.core.long_mockup import FACE, LEFT, PITCH_MM, RIGHT, photographed

pytestmark = pytest.mark.blender
HEIGHT_MM = 0.5


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("photos")
    paths = []
    for name, camera in (("left", LEFT), ("right", RIGHT)):
        path = folder / f"{name}.jpg"
        path.write_bytes(encode_jpeg(photographed(camera, height_mm=HEIGHT_MM).pixels, 97))
        paths.append(path)
    return paths


@pytest.fixture
def pair(files, kept_scene):
    """Both photos with their scale, selected."""

    def make():
        for path in files:
            bpy.ops.flatwright.add_photo(filepath=str(path))
            thing = bpy.context.object
            thing.name = path.stem
            thing.flatwright_bench.pitch_mm = PITCH_MM
            thing.flatwright_bench.face_height_mm = HEIGHT_MM
            bpy.ops.flatwright.find_grid()

    kept_scene("pair", make)
    things = [bpy.data.objects[path.stem] for path in files]
    for thing in things:
        thing.select_set(True)
    return things


def status(package):
    graph = import_module(f"{package}.addon.state.graph")
    return graph.status(bpy.context, "bench")


def test_a_mockup_longer_than_a_photo_is_traced_whole(package, pair):
    assert bpy.ops.flatwright.join_photos() == {"FINISHED"}
    joined = bpy.context.object
    assert joined not in pair
    assert joined.flatwright_photo.width_px > 1900
    assert all(thing.hide_get() for thing in pair)
    # Where a place of the card is in the joined picture, by way of the left photo's own bench.
    record = import_module(f"{package}.addon.bench.bench_record")
    ours, theirs = record.read_bench(pair[0]), record.read_bench(joined)
    place = ours.to_plane(LEFT.project(np.array([(-60.0, -20.0)]), HEIGHT_MM), HEIGHT_MM)
    (px,) = theirs.to_photo(place, HEIGHT_MM)
    bpy.ops.flatwright.trace_outline(inside_px=px)
    wide, high = (1000.0 * side for side in bpy.context.object.dimensions[:2])
    xs, ys = np.array(FACE).T
    assert wide == pytest.approx(xs.max() - xs.min(), abs=0.4)
    assert high == pytest.approx(ys.max() - ys.min(), abs=0.4)
    assert status(package).state == "current"


def test_it_is_out_of_date_when_thickness_or_a_photo_of_it_changes(package, pair):
    bpy.ops.flatwright.join_photos()
    joined = bpy.context.object
    joined.flatwright_bench.face_height_mm = 3.0
    assert status(package).state == "stale"
    assert "Join Photos" in str(status(package).told)
    joined.flatwright_bench.face_height_mm = HEIGHT_MM
    assert status(package).state == "current"
    pair[1].flatwright_bench.model_scale = 2.0
    assert status(package).state == "stale"
    bpy.data.objects.remove(pair[1])
    assert status(package).state == "current"


def test_what_cannot_be_joined_is_refused_and_nothing_changes(pair):
    pair[1].flatwright_bench.face_height_mm = 3.0
    before = len(bpy.data.objects), len(bpy.data.images)
    with pytest.raises(RuntimeError, match="Type the same in both"):
        bpy.ops.flatwright.join_photos()
    assert (len(bpy.data.objects), len(bpy.data.images)) == before
    pair[1].select_set(False)
    assert not bpy.ops.flatwright.join_photos.poll()


def test_marks_in_both_photos_say_how_they_go_together(package, pair):
    record = import_module(f"{package}.addon.bench.bench_record")
    places = np.array([(-40.0, 60.0), (20.0, 60.0)])
    for thing, camera in zip(pair, (LEFT, RIGHT), strict=True):
        for other in pair:
            other.select_set(other == thing)
        bpy.context.view_layer.objects.active = thing
        (ax, ay), (bx, by) = camera.project(places)
        thing.flatwright_bench.length_mm = 60.0
        bpy.ops.flatwright.add_length(a_px=(ax, ay), b_px=(bx, by))
    for thing in pair:
        thing.select_set(True)
    bpy.ops.flatwright.join_photos()
    joined = record.read_bench(bpy.context.object)
    ours = record.read_bench(pair[0])
    there = joined.to_photo(ours.to_plane(LEFT.project(places)))
    assert np.isfinite(there).all()
    assert len(joined.residuals) > 500
