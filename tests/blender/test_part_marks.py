"""Lines kept on parts, good faces, labels, and machines with their own names for layers."""

import math
from importlib import import_module
from types import SimpleNamespace

import bpy
import ezdxf
import pytest
from mathutils import Matrix

pytestmark = pytest.mark.blender

MM = 1e-3


def draw_line(name, *points, lift=0.0):
    """An open curve as a person draws it, straight from point to point (mm)."""
    curve = bpy.data.curves.new(name, "CURVE")
    curve.dimensions = "2D"
    spline = curve.splines.new("BEZIER")
    spline.bezier_points.add(len(points) - 1)
    for knot, (x, y) in zip(spline.bezier_points, points, strict=True):
        knot.co = (x * MM, y * MM, 0.0)
        knot.handle_left_type = knot.handle_right_type = "VECTOR"
    thing = bpy.data.objects.new(name, curve)
    thing.location.z = lift * MM
    bpy.context.collection.objects.link(thing)
    return thing


def keep(part, *lines, **how):
    bpy.ops.object.select_all(action="DESELECT")
    for line in lines:
        line.select_set(True)
    part.select_set(True)
    bpy.context.view_layer.objects.active = part
    bpy.context.view_layer.update()
    return bpy.ops.flatwright.keep_lines(**how)


def lines_in(folder, which="*.dxf"):
    """Layer and the ends (mm) of every line of the sheets' files, by file name."""
    found = {}
    for path in sorted(folder.glob(which)):
        space = ezdxf.readfile(path).modelspace()
        found[path.name] = [
            (e.dxf.layer, (e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y))
            for e in space
            if e.dxftype() == "LINE"
        ]
    return found


def save(folder, **how):
    bpy.ops.flatwright.save_cut_files(directory=str(folder), **how)


def test_kept_lines_are_shown_on_the_part_laid_out_with_it_and_saved(plate, tmp_path):
    part = plate("Side", 80.0, 50.0)
    fold = draw_line("fold", (-40, 0), (40, 0))
    note = draw_line("note", (-10, 10), (10, 10), (10, 15))
    assert keep(part, fold, purpose="score") == {"FINISHED"}
    assert keep(part, note, purpose="mark", side="upper") == {"FINISHED"}
    assert fold.hide_get()
    shown = [o for o in part.children if o.flatwright_sheet.role == "LINE"]
    assert len(shown) == 2
    assert all(o.hide_select for o in shown)
    bpy.ops.flatwright.lay_out()
    assert len([o for o in part.children if o.flatwright_sheet.role == "LINE"]) == 2
    save(tmp_path)
    ((_, lines),) = lines_in(tmp_path).items()
    lengths = {}
    for layer, start, end in lines:
        lengths[layer] = lengths.get(layer, 0.0) + math.dist(start, end)
    assert lengths["score"] == pytest.approx(80.0, abs=1e-4)
    assert lengths["mark"] == pytest.approx(25.0, abs=1e-4)
    bpy.context.view_layer.objects.active = part
    bpy.ops.flatwright.drop_lines()
    assert not [o for o in part.children if o.flatwright_sheet.role == "LINE"]


def test_a_line_over_the_outline_is_kept_on_the_part_wherever_that_stands(plate):
    part = plate("Rib", 80.0, 50.0, upright=True, lift=100.0)
    line = draw_line("line", (5, 5), (20, 5))
    assert keep(part, line) == {"FINISHED"}
    far = draw_line("far", (500, 5), (520, 5))
    with pytest.raises(RuntimeError, match="neither on"):
        keep(part, far)
    assert not far.hide_get()


def test_lines_turn_sheets_stale_and_copies_share_them(plate, package):
    part = plate("Rib", 80.0, 50.0)
    copy = part.copy()
    copy.location.x += 0.2
    bpy.context.collection.objects.link(copy)
    status = import_module(f"{package}.addon.state.graph").status
    bpy.ops.flatwright.lay_out()
    assert status(bpy.context, "sheets").is_current
    keep(part, draw_line("line", (-5, 5), (20, 5)))
    assert status(bpy.context, "sheets").state == "stale"
    assert [len(o.children) for o in (part, copy)] == [1, 1]
    bpy.ops.flatwright.lay_out()
    pieces = [o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE"]
    assert len({o.data for o in pieces}) == 1


def test_the_part_whose_good_face_is_below_is_cut_turned_over(plate, tmp_path):
    left = plate("Left", 80.0, 50.0)
    right = left.copy()
    right.name = "Right"
    right.location.x += 0.2
    bpy.context.collection.objects.link(right)
    keep(left, draw_line("line", (-35, -20), (-30, -20)), side="lower")
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.good_face = "up"
    right.flatwright_part.good_side = "lower"
    bpy.ops.flatwright.lay_out()
    save(tmp_path, use_svg=False)
    # The lines are on the backs of both, for which the sheet is turned over.
    files = lines_in(tmp_path)
    assert len(files) == 2
    back = next(lines for name, lines in files.items() if "back" in name)
    assert sorted(layer for layer, *_ in back) == ["mark"] * 2 + ["measure"] * 6
    text = next(tmp_path.glob("*.html")).read_text(encoding="utf-8")
    assert "lies up on the machine" in text
    assert "its lower face lies up" in text


def test_names_and_pair_letters_are_engraved_by_choice(plate, tmp_path):
    a = plate("Long", 120.0, 60.0, upright=True)
    b = plate("Cross", 120.0, 60.0, upright=True)
    b.matrix_world = Matrix.Rotation(math.pi / 2, 4, "Z") @ b.matrix_world
    bpy.ops.object.select_all(action="DESELECT")
    for thing in (a, b):
        thing.select_set(True)
    bpy.ops.flatwright.join_parts()
    bpy.ops.flatwright.lay_out()
    assert not [o for o in bpy.data.objects if o.flatwright_sheet.role == "MARK"]
    layout = bpy.context.scene.flatwright_layout
    layout.mark_names = layout.mark_joints = True
    bpy.ops.flatwright.lay_out()
    marks = [o for o in bpy.data.objects if o.flatwright_sheet.role == "MARK"]
    assert sorted(o.parent.flatwright_sheet.label for o in marks) == ["Cross", "Long"]
    bpy.ops.flatwright.check_assembly()
    save(tmp_path, use_svg=False)
    ((_, lines),) = lines_in(tmp_path).items()
    # LONG and CROSS have 10 and 22 strokes, of several lines each, and each part an A of three.
    assert sum(layer == "mark" for layer, *_ in lines) > 30


def test_labels_are_shown_on_the_face_they_will_be_engraved_on(plate, package):
    shown = import_module(f"{package}.addon.sheet.labels_shown")
    part = plate("Long", 120.0, 60.0, lift=20.0)
    region = SimpleNamespace(width=1200, height=800)

    def seen(up, zoom=1.0):
        """What is drawn from above or below, a metre as wide as five windows at zoom 1."""
        look = Matrix.Rotation(0.0 if up else math.pi, 4, "Y")
        flat = Matrix.Diagonal((10.0 * zoom, 15.0 * zoom, 0.01, 1.0))
        view = SimpleNamespace(
            view_matrix=look, perspective_matrix=flat @ look, is_perspective=False
        )
        return shown.draw_labels(region, view)

    assert seen(True) == shown.Drawing()
    bpy.context.scene.flatwright_layout.mark_names = True
    (stroke,) = seen(True).strokes
    assert len(stroke.lines) >= 10
    assert seen(False).strokes == ()
    # Too small to read as strokes, it is written instead.
    assert [label.text for label in seen(True, 0.05).labels] == ["LONG"]
    bpy.context.scene.flatwright_stocks[0].good_face = "up"
    assert seen(True).strokes == ()
    assert seen(False).strokes
    part.hide_set(True)
    plate("A name longer than its part", 20.0, 12.0)
    (told,) = seen(True).labels
    assert told.text.startswith("No room for A NAME")


def test_a_machine_calls_its_layers_as_the_preferences_say(plate, tmp_path, package):
    plate("Side", 80.0, 50.0)
    bpy.ops.flatwright.lay_out()
    preferences = bpy.context.preferences.addons[package].preferences
    assert bpy.ops.flatwright.add_machine() == {"FINISHED"}
    machine = preferences.machines[0]
    try:
        assert machine.outside_name == "outside"
        machine.outside_name = "CUT-2"
        machine.outside_colour = (1.0, 0.0, 0.0)
        bpy.context.scene.flatwright_readiness.machine = machine.name
        save(tmp_path)
        document = ezdxf.readfile(next(tmp_path.glob("*.dxf")))
        assert {e.dxf.layer for e in document.modelspace()} == {"CUT-2"}
        assert document.layers.get("CUT-2").rgb == (255, 0, 0)
        assert 'id="CUT-2"' in next(tmp_path.glob("*.svg")).read_text(encoding="utf-8")
        machine.inside_name = "cut-2"
        with pytest.raises(RuntimeError, match="Two operations"):
            save(tmp_path, overwrite=True)
        bpy.context.scene.flatwright_readiness.machine = "Gone"
        with pytest.raises(RuntimeError, match="no machine"):
            save(tmp_path, overwrite=True)
    finally:
        assert bpy.ops.flatwright.remove_machine() == {"FINISHED"}
    assert len(preferences.machines) == 0


def test_imported_open_lines_can_be_kept_on_a_part(plate, tmp_path):
    document = ezdxf.new("R2010")
    document.modelspace().add_line((0, 0), (15, 0))
    document.saveas(tmp_path / "in.dxf")
    bpy.ops.flatwright.import_outline(
        filepath=str(tmp_path / "in.dxf"), unit="1.0", with_lines=True
    )
    line = bpy.context.object
    part = plate("Side", 80.0, 50.0)
    assert keep(part, line, purpose="score") == {"FINISHED"}


def test_a_mirror_image_bears_its_marks_on_the_mirrored_face(plate, tmp_path):
    part = plate("Side", 80.0, 50.0, lift=20.0)
    keep(part, draw_line("line", (-35, -20), (-20, -20), lift=20.0))
    bpy.ops.flatwright.mirror_parts(side="X")
    (twin,) = (o for o in bpy.data.objects if o.data == part.data and o != part)
    bpy.context.view_layer.update()
    seen = []
    for thing in (part, twin):
        (shown,) = thing.children
        places = [shown.matrix_world @ p.co.to_3d() for p in shown.data.splines[0].points]
        seen.append(
            sorted((round(x / MM, 2), round(y / MM, 2), round(z / MM, 2)) for x, y, z in places)
        )
    assert seen[1] == sorted((-x, y, z) for x, y, z in seen[0])
    # Both faces of the sheet are alike, so each piece lies with its marks up.
    bpy.ops.flatwright.lay_out()
    save(tmp_path, use_svg=False, anyway=True)
    ((_, lines),) = lines_in(tmp_path).items()
    assert sum(layer == "mark" for layer, *_ in lines) == 2


def test_a_part_bends_between_two_lines_and_its_slits_are_saved(plate, tmp_path):
    part = plate("Shade", 160.0, 100.0)
    lines = [draw_line(f"edge {x}", (x, -50), (x, 50)) for x in (-30, 30)]
    bpy.ops.object.select_all(action="DESELECT")
    for thing in (*lines, part):
        thing.select_set(True)
    bpy.context.view_layer.objects.active = part
    bpy.context.view_layer.update()
    assert bpy.ops.flatwright.bend_between(angle=math.radians(90.0)) == {"FINISHED"}
    assert all(line.hide_get() for line in lines)
    (shown,) = part.children
    slits = len(shown.data.splines)
    assert slits > 30
    findings = bpy.context.scene.flatwright_readiness.findings
    stock = bpy.context.scene.flatwright_stocks[0]
    for thickness_mm, count in ((5.0, 1), (3.0, 0)):
        stock.thickness_mm = thickness_mm
        bpy.ops.flatwright.check_readiness()
        assert sum("was slit for another" in one.sentence for one in findings) == count
    bpy.ops.flatwright.lay_out()
    save(tmp_path, use_svg=False)
    ((_, found),) = lines_in(tmp_path).items()
    assert sum(layer == "inside" for layer, *_ in found) == slits


def test_a_fold_is_cut_in_dashes(plate, tmp_path):
    part = plate("Card", 80.0, 50.0)
    assert keep(part, draw_line("fold", (-40, 0), (40, 0)), purpose="fold") == {"FINISHED"}
    bpy.ops.flatwright.lay_out()
    save(tmp_path, use_svg=False)
    ((_, found),) = lines_in(tmp_path).items()
    dashes = [math.dist(start, end) for layer, start, end in found if layer == "inside"]
    assert len(dashes) > 2
    assert sum(dashes) == pytest.approx(80.0 - 6.0 * (len(dashes) + 1), abs=0.01)
