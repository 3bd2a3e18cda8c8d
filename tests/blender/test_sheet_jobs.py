"""Several jobs on the same sheets: each with its own number of sets, and one of another file."""

import re
from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender


def sheets():
    return [o for o in bpy.data.objects if o.flatwright_sheet.role == "SHEET"]


def labels():
    return sorted(
        o.flatwright_sheet.label for s in sheets() for o in s.children if o.flatwright_sheet.label
    )


def choose(*things):
    bpy.ops.object.select_all(action="DESELECT")
    for thing in things:
        thing.select_set(True)
        bpy.context.view_layer.objects.active = thing


@pytest.fixture
def two_jobs(plate):
    """A rib, and a shade and a foot that are a job of their own."""
    plate("Rib", 120.0, 60.0)
    shade, foot = plate("Shade", 60.0, 40.0, y=100.0), plate("Foot", 30.0, 30.0, y=160.0)
    choose(shade, foot)
    assert bpy.ops.flatwright.add_job() == {"FINISHED"}
    return bpy.context.scene.flatwright_jobs[0]


def test_two_jobs_share_a_sheet_each_as_often_as_it_asks(two_jobs, package, tmp_path):
    status = import_module(f"{package}.addon.state.graph").status
    two_jobs.name, two_jobs.sets = "Lamp", 3
    assert bpy.data.objects["Foot"].flatwright_part.job == "Lamp"
    bpy.context.scene.flatwright_layout.sets = 2
    bpy.ops.flatwright.lay_out()
    assert len(sheets()) == 1
    assert labels() == ["Foot"] * 3 + ["Rib"] * 2 + ["Shade"] * 3
    assert status(bpy.context, "sheets").is_current
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), use_svg=False)
    text = next(tmp_path.glob("*.html")).read_text(encoding="utf-8")
    table = re.search(r'id="jobs".*?</table>', text, re.S).group()
    assert "<td>Lamp</td><td>3</td><td>6</td>" in table
    assert "<td>2</td><td>2</td>" in table
    two_jobs.sets = 4
    found = status(bpy.context, "sheets")
    assert found.state == "stale"
    assert "its job" in found.why


def test_copies_of_one_shape_are_counted_by_their_jobs(two_jobs):
    rib = bpy.data.objects["Rib"]
    copy = rib.copy()
    copy.name = "Rib of the lamp"
    bpy.context.scene.collection.objects.link(copy)
    choose(copy)
    two_jobs.sets = 5
    bpy.ops.flatwright.put_in_job()
    bpy.ops.flatwright.lay_out()
    assert labels().count("Rib") == 1
    assert labels().count("Rib of the lamp") == 5
    # Pressed again it takes them out.
    bpy.ops.flatwright.put_in_job()
    bpy.ops.flatwright.lay_out()
    assert labels().count("Rib") == 2


def test_a_removed_job_leaves_its_parts_with_the_rest(two_jobs):
    bpy.context.scene.flatwright_layout.sets = 2
    bpy.ops.flatwright.remove_job()
    bpy.ops.flatwright.lay_out()
    assert labels() == ["Foot"] * 2 + ["Rib"] * 2 + ["Shade"] * 2
    assert not bpy.ops.flatwright.put_in_job.poll()


@pytest.fixture
def elsewhere(plate, tmp_path):
    """A file with a wall, slotted by a fin; this scene is empty again after it."""
    import math

    from mathutils import Matrix

    wall, fin = plate("Wall", 120.0, 60.0, upright=True), plate("Fin", 90.0, 60.0, upright=True)
    fin.matrix_world = Matrix.Rotation(math.pi / 2, 4, "Z") @ fin.matrix_world
    choose(wall, fin)
    bpy.ops.flatwright.join_parts()
    path = tmp_path / "lamp.blend"

    def save(thickness_mm=3.0):
        bpy.context.scene.flatwright_stocks[0].thickness_mm = thickness_mm
        bpy.ops.flatwright.rebuild_parts()
        bpy.ops.wm.save_as_mainfile(filepath=str(path), copy=True)
        bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
        unit = bpy.context.scene.unit_settings
        unit.system, unit.length_unit, unit.scale_length = "METRIC", "MILLIMETERS", 1.0
        return path

    return save


def test_a_job_of_another_file_is_cut_along_with_its_slots(elsewhere, plate, package, tmp_path):
    path = elsewhere()
    plate("Board", 80.0, 50.0)
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.thickness_mm = 3.0
    assert bpy.ops.flatwright.bring_job(filepath=str(path)) == {"FINISHED"}
    job = bpy.context.scene.flatwright_jobs[0]
    assert job.name == "lamp"
    job.sets = 2
    bpy.ops.flatwright.rebuild_parts()
    bpy.ops.flatwright.lay_out()
    assert labels() == ["Board", "Fin", "Fin", "Wall", "Wall"]
    # The slot that the other file cut is in the piece: two more inside corners than a plate.
    curves = import_module(f"{package}.addon.blender.curves")
    wall = bpy.data.objects["Wall"]
    assert len(curves.read_profile(wall.data).outer.segments) == 8
    folder = tmp_path / "files"
    folder.mkdir()
    assert bpy.ops.flatwright.save_cut_files(directory=str(folder)) == {"FINISHED"}
    text = next(folder.glob("*.html")).read_text(encoding="utf-8")
    assert "<td>lamp</td><td>2</td><td>4</td>" in text
    # What is only cut along is neither checked nor in the way here, and can be marked as cut.
    assert import_module(f"{package}.addon.state.things").stands_apart(wall)
    choose(*(o for o in sheets()))
    assert bpy.ops.flatwright.mark_as_cut() == {"FINISHED"}
    assert wall.flatwright_cut.cut
    bpy.ops.flatwright.what_again()
    assert not bpy.context.scene.flatwright_recut.found


def test_it_is_there_again_when_the_file_is_opened_again(elsewhere, tmp_path):
    path = elsewhere()
    bpy.ops.flatwright.bring_job(filepath=str(path))
    assert [s.name for s in bpy.context.scene.flatwright_stocks]
    saved = tmp_path / "both.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(saved))
    bpy.ops.wm.open_mainfile(filepath=str(saved))
    bpy.ops.flatwright.lay_out()
    assert labels() == ["Fin", "Wall"]
    # Where the other file is gone, its parts cannot be laid out, and that is said by name.
    path.unlink()
    bpy.ops.wm.open_mainfile(filepath=str(saved))
    with pytest.raises(RuntimeError, match="“Fin”"):
        bpy.ops.flatwright.lay_out()
    with pytest.raises(RuntimeError, match="the file that is open"):
        bpy.ops.flatwright.bring_job(filepath=str(saved))


def test_what_cannot_be_brought_is_refused_and_nothing_changes(elsewhere, plate, tmp_path):
    path = elsewhere(2.0)
    plate("Board", 80.0, 50.0)
    bpy.context.scene.flatwright_stocks[0].thickness_mm = 3.0
    before = set(bpy.data.objects)
    with pytest.raises(RuntimeError, match=r"is 2.00 mm thick in that file and 3.00 mm here"):
        bpy.ops.flatwright.bring_job(filepath=str(path))
    bpy.context.scene.unit_settings.scale_length = 0.001
    with pytest.raises(RuntimeError, match="another unit scale"):
        bpy.ops.flatwright.bring_job(filepath=str(path))
    empty = tmp_path / "empty.blend"
    bpy.data.libraries.write(str(empty), {bpy.data.worlds.new("World")})
    with pytest.raises(RuntimeError, match="holds no part"):
        bpy.ops.flatwright.bring_job(filepath=str(empty))
    (tmp_path / "text.blend").write_text("no file of Blender")
    with pytest.raises(RuntimeError, match="cannot be read"):
        bpy.ops.flatwright.bring_job(filepath=str(tmp_path / "text.blend"))
    assert set(bpy.data.objects) == before
    assert not bpy.context.scene.flatwright_jobs
