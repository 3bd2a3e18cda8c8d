"""Damaged and odd data in a file: a sentence or nothing, never a traceback, never half a change."""

import json
import os
from importlib import import_module

import bpy
import numpy as np
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def plate(package):
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    return outlines.add_outline(bpy.context, "Plate", outline.rectangle(40.0, 30.0))


def state():
    return sorted((thing.name, thing.hide_get()) for thing in bpy.context.view_layer.objects)


def test_an_outline_outside_the_view_layer_is_refused_whole(package, plate):
    symmetrising = import_module(f"{package}.addon.outline.symmetrising")
    bpy.context.collection.objects.unlink(plate)
    before = len(bpy.data.objects)
    with bpy.context.temp_override(object=plate, active_object=plate, selected_objects=[plate]):
        assert symmetrising.FLATWRIGHT_OT_make_symmetric.poll(bpy.context)
        with pytest.raises(RuntimeError, match="not in this view layer"):
            bpy.ops.flatwright.make_symmetric()
    assert len(bpy.data.objects) == before


@pytest.mark.parametrize("kind", ["BEZIER", "POLY"])
def test_a_curve_of_two_nodes_is_told(package, plate, kind):
    spline = plate.data.splines.new(kind)
    points = spline.bezier_points if kind == "BEZIER" else spline.points
    points.add(1)
    points[1].co[0] = 0.02
    for point in spline.bezier_points:
        point.handle_left = point.handle_right = point.co
    spline.use_cyclic_u = True
    with pytest.raises(RuntimeError, match="encloses nothing"):
        bpy.ops.flatwright.make_symmetric()
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    with pytest.raises(RuntimeError, match="encloses nothing"):
        bpy.ops.flatwright.make_part()
    assert state() == [("Plate", False)]


ODD = ["", "[", "[]", "{}", "null", "[1,2,3]", '["mirror",2,"average",NaN,0,0,""]', "[" * 9999,
       '["mirror",2,"average","x",0,0,""]', '["mirror",1e99,"average",0,0,0,""]']  # fmt: skip


@pytest.mark.parametrize("text", ODD, ids=range(len(ODD)))
def test_a_damaged_symmetry_is_no_symmetry(package, plate, text):
    axis_record = import_module(f"{package}.addon.outline.axis_record")
    bpy.ops.flatwright.make_symmetric()
    made = bpy.context.object
    assert axis_record.kept_axis(made) is not None
    made.flatwright_outline.symmetry_record = text
    assert axis_record.kept_axis(made) is None


@pytest.mark.parametrize("text", ["[", "[]", "null", '{"label":1}', '{"label":"a","chains":[[1]]}'])
def test_a_damaged_label_is_no_label(package, plate, text):
    marks = import_module(f"{package}.addon.part.marks")
    plate.data[marks.MARKS] = text
    assert marks.marks_of(plate.data) == ()
    assert marks.lettering_of(plate.data, 0) == []
    plate.data[marks.MARKS] = json.dumps({"label": "a", "chains": [[[0, 0], [1, 2]]]})
    assert len(marks.marks_of(plate.data)) == 1


def test_a_damaged_outline_record_is_told(package, plate):
    curves = import_module(f"{package}.addon.blender.curves")
    errors = import_module(f"{package}.geometry.errors")
    for text in ("[", "[[]]", "null", '[[["line",1e999,0,0,0]]]', "[" * 9999):
        plate.data[curves.RECORD] = text
        with pytest.raises(errors.OutlineError, match="is damaged"):
            curves.read_profile(plate.data)


@pytest.mark.skipif(os.name != "posix", reason="names are bytes on these systems alone")
@pytest.mark.parametrize("name", [b"Fu\xdf.png", b"a\xef\xbf\xbe.png", b"line\nend.png"])
def test_photos_of_any_name_are_added(package, tmp_path, name):
    from PIL import Image

    path = os.path.join(os.fsencode(tmp_path), name)
    noise = np.random.default_rng(1).integers(0, 255, (64, 96, 3), dtype=np.uint8)
    with open(path, "wb") as file:
        Image.fromarray(noise).save(file, "PNG")
    photos = import_module(f"{package}.addon.photo.operators")
    reading = import_module(f"{package}.addon.photo.packed_photo").reading
    where = type(tmp_path)(os.fsdecode(path))
    read = reading(where)(lambda *_: None)
    thing = photos.add_photo(bpy.context, where, read, by_hand=False)
    assert thing.flatwright_photo.width_px == 96
    packed = import_module(f"{package}.addon.photo.packed_photo").packed_photo
    assert packed(thing.flatwright_photo)().size_px == (96, 64)


def test_a_name_that_is_no_text_is_told_in_one(package):
    words = import_module(f"{package}.addon.locale.words")
    said = words.reported(
        "Added {name}, {width} × {height} px.", name="\udcffa\ufffe", width=1, height=2
    )
    said.encode("utf-8")
    assert said == "Added �a�, 1 × 2 px."


def test_a_photo_too_large_is_reduced_told_and_read_back_alike(
    package, tmp_path, monkeypatch, capfd
):
    from PIL import Image

    decoding = import_module(f"{package}.geometry.photo.decoding")
    monkeypatch.setattr(decoding, "FULL_PIXELS", 96 * 64 // 2)
    noise = np.random.default_rng(1).integers(0, 255, (64, 96, 3), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "large.png")
    bpy.ops.flatwright.add_photo(filepath=str(tmp_path / "large.png"))
    thing = bpy.context.object
    assert (thing.flatwright_photo.width_px, thing.flatwright_photo.height_px) == (48, 32)
    assert tuple(thing.data.size) == (48, 32)
    packed = import_module(f"{package}.addon.photo.packed_photo").packed_photo
    assert packed(thing.flatwright_photo)().size_px == (48, 32)
    assert "2 × 2 of its pixels became one" in capfd.readouterr().out


def test_a_photo_is_read_back_in_the_pixels_its_marks_were_set_in(package, tmp_path, monkeypatch):
    from PIL import Image

    noise = np.random.default_rng(1).integers(0, 255, (96, 64, 3), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "whole.png")
    bpy.ops.flatwright.add_photo(filepath=str(tmp_path / "whole.png"))
    thing = bpy.context.object
    # What counts as too large may change from one version to the next.
    decoding = import_module(f"{package}.geometry.photo.decoding")
    monkeypatch.setattr(decoding, "FULL_PIXELS", 96 * 64 // 2)
    packed = import_module(f"{package}.addon.photo.packed_photo").packed_photo
    assert packed(thing.flatwright_photo)().size_px == (64, 96)
