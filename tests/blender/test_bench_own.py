"""A bench of one's own: printed, kept in the preferences, chosen for a photo; lines asked about."""

import bpy
import numpy as np
import pytest
from PIL import Image

from tests.core.mat_pictures import Mat, Scene, look, mat_picture

pytestmark = pytest.mark.blender

SIZE = (1344, 1008)


@pytest.fixture
def shelf(package):
    preferences = bpy.context.preferences.addons[package].preferences
    preferences.benches.clear()
    yield preferences
    preferences.benches.clear()


def photo_of(folder, mat, away_mm):
    view = look(SIZE, 26.0, 5.0, 40.0, 7.0, away_mm, (mat.size_mm[0] / 2, mat.size_mm[1] / 2))
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0xA405] = 26
    Image.fromarray(mat_picture(view, mat, Scene())).save(folder / "m.png", exif=exif)
    bpy.ops.flatwright.add_photo(filepath=str(folder / "m.png"))
    return bpy.context.object, view


def test_a_bench_is_printed_and_kept(package, shelf, tmp_path):
    assert bpy.ops.flatwright.print_bench(filepath=str(tmp_path / "b"), paper="A3") == {"FINISHED"}
    assert (tmp_path / "b.pdf").read_bytes().startswith(b"%PDF")
    keep = bpy.ops.flatwright.keep_bench
    assert keep(name="desk", paper="A3", along=0.3921, up=0.27) == {"FINISHED"}
    with pytest.raises(RuntimeError, match="Measure the line again"):
        keep(name="wrong", paper="A3", along=0.35, up=0.27)
    with pytest.raises(RuntimeError, match="steel rule"):
        keep(name="wrong", paper="A3", up=0.27)
    assert [one.name for one in shelf.benches] == ["desk"]
    bpy.ops.flatwright.remove_bench(name="desk")
    assert not shelf.benches
    with pytest.raises(RuntimeError, match="no bench"):
        bpy.ops.flatwright.remove_bench(name="desk")


def test_a_bought_mat_that_was_measured_gives_the_scale(package, shelf, tmp_path):
    photo, _ = photo_of(tmp_path, Mat(), 420.0)
    bpy.ops.flatwright.keep_bench(
        name="mat", paper="MAT", along=0.4024, up=0.2816828, columns=40, rows=28
    )
    photo.flatwright_bench.mat = "mat"
    bpy.ops.flatwright.find_grid()
    per_pixel = photo.flatwright_bench.record
    photo.flatwright_bench.mat = ""
    bpy.ops.flatwright.find_grid()
    assert per_pixel != photo.flatwright_bench.record
    photo.flatwright_bench.mat = "gone"
    with pytest.raises(RuntimeError, match="not in the preferences"):
        bpy.ops.flatwright.find_grid()


def test_it_is_asked_which_lines_are_meant_and_a_button_answers(package, tmp_path):
    mat = Mat((210.0, 140.0), 1.0, 0.12, 5, 0.3)
    photo, _ = photo_of(tmp_path, mat, 95.0)
    bench = photo.flatwright_bench
    bench.pitch_mm = 5.0
    bpy.ops.flatwright.find_grid()
    assert np.allclose(bench.line_kinds, (1.0, 5.0, 0.0, 0.0))
    assert bench.line_kind == 0.0
    assert "5 / 25 mm" in bench.warnings
    bpy.ops.flatwright.find_grid(line_kind=5.0)
    assert bench.line_kind == 5.0
    assert "which of them" not in bench.warnings
    # Said once, it holds when the grid is found again.
    bpy.ops.flatwright.find_grid()
    assert bench.line_kind == 5.0
