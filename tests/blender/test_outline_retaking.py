"""A better photo of the same mock-up takes the old one's place; what hangs on the outline stays."""

from importlib import import_module

import bpy
import pytest
from PIL import Image

pytestmark = pytest.mark.blender

PITCH_MM, FACE_MM = 10.0, 5.0


def add(path):
    bpy.ops.flatwright.add_photo(filepath=str(path))
    photo = bpy.context.object
    photo.flatwright_bench.pitch_mm, photo.flatwright_bench.face_height_mm = PITCH_MM, FACE_MM
    bpy.ops.flatwright.find_grid()
    return photo


@pytest.fixture
def traced_all(measured, kept_scene):
    """The demo's photo with its grid found and every part of it traced, and the outline."""
    name = measured.name
    outline = kept_scene("traced all", bpy.ops.flatwright.trace_all)
    return bpy.data.objects[name], outline


def quarter_turned(photo, folder):
    """Write a photo turned by a quarter; return its path and the photo's width, px."""
    with Image.open(photo) as picture:
        turned = picture.transpose(Image.Transpose.ROTATE_90)
        turned.save(folder / "turned.jpg", quality=95, exif=picture.getexif().tobytes())
        return folder / "turned.jpg", picture.width


def test_a_photo_turned_by_a_quarter_gives_the_same_part_where_it_was(
    package, demo, traced_all, tmp_path
):
    first, outline = traced_all
    curves = import_module(f"{package}.addon.blender.curves")
    before = curves.read_profile(outline.data)
    x, y = outline.flatwright_outline.inside_px
    path, width = quarter_turned(demo[0], tmp_path)
    second = add(path)
    for thing in (second, outline):
        thing.select_set(True)
    bpy.context.view_layer.objects.active = outline
    assert bpy.ops.flatwright.retake(inside_px=(y, width - 1.0 - x)) == {"FINISHED"}
    after = curves.read_profile(outline.data)
    # The same mock-up in the same pixels, read along other rows: within the demo's own accuracy.
    assert after.area_mm2 == pytest.approx(before.area_mm2, rel=2e-3)
    assert after.bounds_mm == pytest.approx(before.bounds_mm, abs=0.2)
    settings = outline.flatwright_outline
    assert settings.photo == second != first
    assert not settings.before.visible_get()
    # It lies on the new photo where the part is: a further click finds it by its own place.
    assert bpy.ops.flatwright.remove_from_trace.poll()


def axis_of(outline):
    """Direction of an outline's axis, degrees, as it says it."""
    return float(outline.flatwright_outline.symmetry.split("°")[0].split()[-1])


def test_a_symmetric_outline_is_retaken_through_the_one_it_was_made_from(
    package, demo, traced_all, tmp_path
):
    _, traced = traced_all
    bpy.ops.flatwright.make_symmetric()
    symmetric = bpy.context.object
    assert symmetric.flatwright_outline.traced == traced != symmetric
    curves = import_module(f"{package}.addon.blender.curves")
    area_mm2 = curves.read_profile(symmetric.data).area_mm2
    axis_deg = axis_of(symmetric)
    path, width = quarter_turned(demo[0], tmp_path)
    x, y = traced.flatwright_outline.inside_px
    second = add(path)
    bpy.context.view_layer.objects.active = symmetric
    assert bpy.ops.flatwright.retake(inside_px=(y, width - 1.0 - x)) == {"FINISHED"}
    assert traced.flatwright_outline.photo == symmetric.flatwright_outline.photo == second
    assert symmetric.matrix_world == traced.matrix_world
    assert bpy.ops.flatwright.bring_up_to_date() == {"FINISHED"}
    assert axis_of(symmetric) == pytest.approx(axis_deg, abs=0.2)
    assert curves.read_profile(symmetric.data).area_mm2 == pytest.approx(area_mm2, rel=2e-3)


@pytest.mark.usefixtures("traced_all")
def test_without_a_second_photo_there_is_nothing_to_retake():
    assert not bpy.ops.flatwright.retake.poll()
