"""What is told before cutting, kept and shown, and what it stops."""

from importlib import import_module

import bpy
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def add(package):
    """Add a part of a shape: ("ring", 100.0, 60.0) or ("rectangle", 80.0, 60.0)."""
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.context.scene.flatwright_stocks[0].measured = {"thickness", "kerf"}

    def made(kind, *sizes, name="Plate"):
        outlines.add_outline(bpy.context, name, getattr(outline, kind)(*sizes))
        bpy.ops.flatwright.make_part()
        return bpy.context.object

    return made


def findings():
    return bpy.context.scene.flatwright_readiness.findings


def pieces():
    return [o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE"]


def holds(package):
    return import_module(f"{package}.addon.files.finding_list").findings_hold(bpy.context)


def test_check_waits_for_a_part():
    assert not bpy.ops.flatwright.check_readiness.poll()


def test_sound_parts_have_no_findings_and_a_later_change_is_noticed(add, package):
    part = add("ring", 100.0, 60.0)
    bpy.ops.flatwright.check_readiness()
    assert len(findings()) == 0
    assert holds(package)
    part.data.splines[0].bezier_points[0].co.x += 0.001
    assert not holds(package)


def test_caution_is_kept_shown_and_zoomed_to_but_stops_nothing(add, tmp_path):
    part = add("ring", 40.0, 36.0)
    part.location = (0.2, 0.1, 0.0)
    bpy.ops.flatwright.lay_out()
    bpy.ops.flatwright.check_readiness()
    (finding,) = findings()
    assert finding.severity == "caution"
    assert "2.00 mm of material" in finding.sentence
    assert finding.label == "Thin web: Plate part"
    bpy.ops.object.select_all(action="DESELECT")
    part.hide_set(True)
    bpy.ops.flatwright.show_finding(index=0)
    assert bpy.context.object == part
    assert part.select_get()
    away = bpy.context.scene.cursor.location - part.matrix_world.translation
    assert away.length / MM == pytest.approx(19.0, abs=0.1)
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    assert len(list(tmp_path.glob("*.dxf"))) == 1


def test_overlap_on_the_sheet_stops_saving_unless_anyway(add, tmp_path):
    add("rectangle", 80.0, 60.0)
    add("rectangle", 50.0, 40.0)
    bpy.ops.flatwright.lay_out()
    one, two = pieces()
    two.location = one.location
    two.location.x += 5.0 * MM
    with pytest.raises(RuntimeError, match=r"Nothing was saved.*overlap"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    assert list(tmp_path.iterdir()) == []
    assert findings()[0].severity == "stop"
    bpy.ops.flatwright.show_finding(index=0)
    assert bpy.context.object in (one, two)
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), anyway=True)
    assert len(list(tmp_path.glob("*.dxf"))) == 1


def test_saving_anyway_is_never_remembered(add, tmp_path):
    add("rectangle", 80.0, 60.0)
    bpy.ops.flatwright.lay_out()
    pieces()[0].location.x = 0.59
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), anyway=True)
    with pytest.raises(RuntimeError, match="edge"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), overwrite=True)


@pytest.mark.parametrize(
    ("settings", "words"),
    [({"kerf_mm": 0.4}, "kerf changed since"), ({"thickness_mm": 2.7}, "Press Rebuild Parts")],
)
def test_stock_changed_after_the_layout_stops_saving(add, tmp_path, settings, words):
    add("ring", 100.0, 60.0)
    bpy.ops.flatwright.lay_out()
    # Where parts follow at once, a ring is the same ring in any thickness, and nothing is wrong.
    bpy.context.scene.flatwright_assembly.follows = False
    for name, value in settings.items():
        setattr(bpy.context.scene.flatwright_stocks[0], name, value)
    with pytest.raises(RuntimeError, match=words):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    assert list(tmp_path.iterdir()) == []
    bpy.ops.flatwright.lay_out()
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))


def test_part_added_after_the_layout_stops_saving(add, tmp_path):
    add("ring", 100.0, 60.0)
    bpy.ops.flatwright.lay_out()
    add("ring", 50.0, 30.0, name="Late")
    with pytest.raises(RuntimeError, match="missing on the sheets"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))


def test_finding_of_a_deleted_part_is_told(add):
    part = add("ring", 40.0, 36.0)
    bpy.ops.flatwright.check_readiness()
    bpy.data.objects.remove(part)
    with pytest.raises(RuntimeError, match="gone"):
        bpy.ops.flatwright.show_finding(index=0)
    with pytest.raises(RuntimeError, match="no such problem"):
        bpy.ops.flatwright.show_finding(index=7)


def test_findings_stay_in_the_saved_file(add, tmp_path):
    add("ring", 40.0, 36.0)
    bpy.ops.flatwright.check_readiness()
    sentence = findings()[0].sentence
    path = tmp_path / "job.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(path))
    bpy.ops.wm.open_mainfile(filepath=str(path))
    assert findings()[0].sentence == sentence


def test_a_change_that_nobody_followed_stops_saving(add, tmp_path):
    add("ring", 100.0, 60.0)
    bpy.ops.flatwright.lay_out()
    bpy.context.scene.flatwright_assembly.follows = False
    bpy.data.objects["Plate"].data.splines[0].bezier_points[0].co.x += 0.001
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match="“Plate part”: its outline changed"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    assert list(tmp_path.iterdir()) == []
    bpy.ops.flatwright.rebuild_parts()
    with pytest.raises(RuntimeError, match="Press Lay Out Sheets"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    bpy.ops.flatwright.lay_out()
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path))
    assert list(tmp_path.iterdir())
