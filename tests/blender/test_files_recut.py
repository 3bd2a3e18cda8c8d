"""What was cut is marked, and after a change exactly the parts whose files differ are listed."""

from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender


@pytest.fixture
def job(package, plate, tmp_path):
    """Two lapped plates, a plain one and one of another stock; a function that saves all files."""
    plate("Shelf", 120.0, 60.0, lift=0.0)
    wall = plate("Wall", 60.0, 40.0, upright=True)
    plate("Plain", 50.0, 30.0, y=200.0)
    bpy.ops.object.select_all(action="DESELECT")
    for name in ("Shelf", "Wall"):
        bpy.data.objects[name].select_set(True)
    bpy.context.view_layer.objects.active = wall
    bpy.ops.flatwright.join_parts()
    folder = tmp_path / "files"
    folder.mkdir()
    drawing = import_module(f"{package}.geometry.files")

    def save():
        """Sizes, loops and area of each piece by its name, as its files hold it."""
        bpy.ops.flatwright.lay_out()
        bpy.ops.flatwright.save_cut_files(directory=str(folder), overwrite=True, anyway=True)
        (path,) = folder.glob("*.svg")
        read = drawing.read_back(path)
        found = {}
        for shape in read.shapes:
            if shape.operation == "outside":
                found[shape.name] = (round(shape.area_mm2, 2), round(shape.length_mm, 2))
        path.unlink()
        return found

    return save


def listed(state):
    rows = bpy.context.scene.flatwright_recut.found
    return {row.thing.name: row.reasons for row in rows if row.state == state}


def mark_sheets():
    bpy.ops.object.select_all(action="DESELECT")
    for thing in bpy.context.scene.objects:
        if thing.flatwright_sheet.role == "SHEET":
            thing.select_set(True)
    return bpy.ops.flatwright.mark_as_cut()


def test_after_a_thickness_change_exactly_the_parts_whose_files_differ_are_named(job):
    before = job()
    assert bpy.ops.flatwright.what_again() == {"FINISHED"}
    # Saved, and nobody has said that it was cut.
    assert set(listed("SAVED")) == {"Shelf", "Wall", "Plain"}
    assert mark_sheets() == {"FINISHED"}
    bpy.ops.flatwright.what_again()
    assert not bpy.context.scene.flatwright_recut.found
    with pytest.raises(RuntimeError, match="Nothing must be cut again"):
        bpy.ops.flatwright.lay_out_again()
    bpy.context.scene.flatwright_stocks[0].thickness_mm = 3.4
    bpy.ops.flatwright.what_again()
    again = listed("AGAIN")
    after = job()
    assert set(again) == {name for name in after if after[name] != before[name]}
    assert set(again) == {"Shelf", "Wall"}
    assert set(again.values()) == {"thickness"}


def test_only_what_must_be_cut_again_is_laid_out_until_told_otherwise(job):
    job()
    mark_sheets()
    outline = bpy.data.objects["Plain outline"]
    for point in outline.data.splines[0].bezier_points:
        for place in (point.co, point.handle_left, point.handle_right):
            place.x *= 1.2
    outline.data.update_tag()
    bpy.context.view_layer.update()
    bpy.ops.flatwright.rebuild_parts()
    assert bpy.ops.flatwright.lay_out_again() == {"FINISHED"}
    assert listed("AGAIN") == {"Plain": "outline"}
    pieces = [o for o in bpy.context.scene.objects if o.flatwright_sheet.role == "PIECE"]
    assert [piece.flatwright_sheet.label for piece in pieces] == ["Plain"]
    bpy.ops.flatwright.lay_out_everything()
    bpy.ops.flatwright.lay_out()
    pieces = [o for o in bpy.context.scene.objects if o.flatwright_sheet.role == "PIECE"]
    assert len(pieces) == 3


def test_a_removed_joint_is_a_change_of_slots(job):
    job()
    mark_sheets()
    bpy.ops.flatwright.remove_joint()
    bpy.ops.flatwright.rebuild_parts()
    bpy.ops.flatwright.what_again()
    assert listed("AGAIN") == {"Shelf": "slots", "Wall": "slots"}


def test_of_copies_as_many_are_marked_as_there_are_pieces(plate, tmp_path):
    rib = plate("Rib", 40.0, 20.0)
    copy = rib.copy()
    copy.name = "Rib 2"
    copy.location.y += 0.1
    bpy.context.collection.objects.link(copy)
    bpy.ops.flatwright.lay_out()
    bpy.ops.object.select_all(action="DESELECT")
    pieces = [o for o in bpy.context.scene.objects if o.flatwright_sheet.role == "PIECE"]
    pieces[0].select_set(True)
    bpy.ops.flatwright.mark_as_cut()
    assert [bool(o.flatwright_cut.cut) for o in (rib, copy)] == [True, False]
    pieces[1].select_set(True)
    bpy.ops.flatwright.mark_as_cut()
    assert all(o.flatwright_cut.cut for o in (rib, copy))
