"""Bridges, lead-ins and the order of cuts: set in the Sheet panel, drawn, saved and read back."""

from importlib import import_module
from types import SimpleNamespace

import bpy
import ezdxf
import pytest
from mathutils import Matrix

pytestmark = pytest.mark.blender


@pytest.fixture
def layout(plate):
    plate("Long", 120.0, 60.0)
    plate("Short", 60.0, 40.0, y=100.0)
    bpy.ops.flatwright.lay_out()
    return bpy.context.scene.flatwright_layout


def outsides(folder):
    (file,) = folder.glob("*.dxf")
    return [e for e in ezdxf.readfile(file).modelspace() if e.dxf.layer == "outside"]


def test_bridges_are_in_the_file_and_the_cut_list_says_so(layout, tmp_path, package):
    status = import_module(f"{package}.addon.state.graph").status
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path / ""), use_svg=False)
    # Two rectangles of four lines.
    assert len(outsides(tmp_path)) == 8
    assert status(bpy.context, "files").is_current
    layout.bridges, layout.lead_mm = 3, 1.0
    assert status(bpy.context, "files").state == "stale"
    assert status(bpy.context, "sheets").is_current
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), use_svg=False, overwrite=True)
    # Three more pieces of lines, and three lead-ins, for each.
    assert len(outsides(tmp_path)) == 8 + 2 * 3 + 2 * 3
    text = next(tmp_path.glob("*.html")).read_text(encoding="utf-8")
    assert "held by up to 3 bridges, 0.5 mm wide" in text
    # Two pieces in three goes each are no six pieces.
    assert "Sheet 1: 6 outside cuts" in text
    assert "6 pieces" not in text
    assert "begin 1 mm beside the part" in text


def test_a_part_without_a_place_for_its_bridges_is_told(layout):
    layout.bridges, layout.bridge_mm = 4, 30.0
    bpy.ops.flatwright.check_readiness()
    findings = bpy.context.scene.flatwright_readiness.findings
    told = [one.sentence for one in findings if "bridges" in one.sentence]
    assert any("Short has no good place for 4 bridges" in one for one in told)


def test_edges_are_not_shared_and_bridged(layout, tmp_path):
    layout.bridges = 2
    with pytest.raises(RuntimeError, match="bridges or shared edges"):
        bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), share_edges=True)
    assert not list(tmp_path.iterdir())


def test_the_order_is_drawn_with_numbers_and_ways(layout, package):
    shown = import_module(f"{package}.addon.files.cut_order_shown")
    region = SimpleNamespace(width=1200, height=800)
    view = SimpleNamespace(perspective_matrix=Matrix.Scale(0.5, 4))
    view.perspective_matrix[3][3] = 1.0
    assert shown.draw_order(region, view) == shown.Drawing()
    layout.shows_order = True
    assert [label.text for label in shown.draw_order(region, view).labels] == ["1", "2"]
    layout.bridges = 2
    drawn = shown.draw_order(region, view)
    assert [label.text for label in drawn.labels] == ["1", "2", "3", "4"]
    # Four paths and the ways between them.
    assert len(drawn.strokes) == 5
    assert drawn.strokes[-1].lines


def test_corners_of_joints_are_known_on_the_sheet(plate, package):
    import math

    a = plate("Long", 120.0, 60.0, upright=True)
    b = plate("Cross", 120.0, 60.0, upright=True)
    b.matrix_world = Matrix.Rotation(math.pi / 2, 4, "Z") @ b.matrix_world
    for thing in (a, b):
        thing.select_set(True)
    bpy.ops.flatwright.join_parts()
    bpy.ops.flatwright.lay_out()
    sheets = import_module(f"{package}.addon.files.laid_sheets")
    (sheet,) = (o for o in bpy.data.objects if o.flatwright_sheet.role == "SHEET")
    laid = sheets.laid_sheet(bpy.context, sheet)
    # A slot in each has two inside corners.
    assert [len(fits) for fits in laid.fits] == [2, 2]
    for profile, fits in zip(laid.profiles, laid.fits, strict=True):
        x0, y0, x1, y1 = profile.bounds_mm
        assert all(x0 < x < x1 and y0 < y < y1 for x, y in fits)


def test_sets_are_laid_out_and_counted(layout, tmp_path, package):
    status = import_module(f"{package}.addon.state.graph").status
    assert status(bpy.context, "sheets").is_current
    layout.sets = 3
    assert status(bpy.context, "sheets").state == "stale"
    bpy.ops.flatwright.lay_out()
    pieces = [o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE"]
    assert len(pieces) == 6
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), use_svg=False)
    text = next(tmp_path.glob("*.html")).read_text(encoding="utf-8")
    assert text.count("<td>3</td>") == 2


def test_a_time_is_told_once_every_rate_it_needs_was_measured(layout, tmp_path, package):
    times = import_module(f"{package}.addon.files.times")
    (sheet,) = (o for o in bpy.data.objects if o.flatwright_sheet.role == "SHEET")
    assert times.time_told(bpy.context, sheet) == "0.56 m; not measured: Cutting, Between Cuts"
    stock = bpy.context.scene.flatwright_stocks[0]
    stock.cut_mm_s, stock.travel_mm_s, stock.start_s = 10.0, 200.0, 1.0
    # 560 mm of outsides and 1.6 of kerf at 10 mm/s, two starts, a short way between them.
    assert times.time_told(bpy.context, sheet) == "0.56 m, 59 s"
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), use_svg=False)
    text = next(tmp_path.glob("*.html")).read_text(encoding="utf-8")
    assert "cutting 0.56 m" in text
    assert "59 s" in text
