"""What Save Cut Files can write, read back by other programs' readers."""

import re
from importlib import import_module

import bpy
import ezdxf
import pytest

pytestmark = pytest.mark.blender

MM = 1e-3


@pytest.fixture
def sheet(package):
    """A 100 mm ring with a 60 mm hole on one sheet, cut as drawn."""
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    bpy.context.scene.flatwright_stocks[0].measured = {"thickness", "kerf"}
    outlines.add_outline(bpy.context, "Ring", outline.ring(100.0, 60.0))
    bpy.ops.flatwright.make_part()
    bpy.context.scene.flatwright_layout.correct_kerf = False
    bpy.ops.flatwright.lay_out()
    (found,) = [o for o in bpy.data.objects if o.flatwright_sheet.role == "SHEET"]
    return found


def save(folder, **settings):
    bpy.ops.flatwright.save_cut_files(directory=str(folder), **settings)


def only(folder, ending):
    (path,) = folder.glob(f"*.{ending}")
    return path


def test_inches_are_inches_and_the_file_says_so(sheet, tmp_path):
    save(tmp_path, dxf_unit="in")
    document = ezdxf.readfile(only(tmp_path, "dxf"))
    assert document.header["$INSUNITS"] == 1
    radii = sorted(c.dxf.radius for c in document.modelspace().query("CIRCLE"))
    assert radii == [pytest.approx(30.0 / 25.4, abs=1e-8), pytest.approx(50.0 / 25.4, abs=1e-8)]


def test_r12_is_r12_with_its_square(sheet, tmp_path):
    save(tmp_path, dxf_version="R12", dxf_entities="polylines")
    document = ezdxf.readfile(only(tmp_path, "dxf"))
    assert document.dxfversion == "AC1009"
    (square,) = document.modelspace().query("POLYLINE")
    xs = [v.dxf.location.x for v in square.vertices]
    assert max(xs) - min(xs) == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("given", "written"),
    [({"hairline": 0.025 * MM}, "0.025"), ({"hairline_mm": 0.3}, "0.3"), ({}, "0.1")],
)
def test_line_width_of_svg_is_taken_in_the_scenes_unit_or_in_mm(sheet, tmp_path, given, written):
    save(tmp_path, use_dxf=False, **given)
    text = only(tmp_path, "svg").read_text()
    assert set(re.findall(r'stroke-width="([^"]+)"', text)) == {written}


@pytest.mark.parametrize(("paper", "sides"), [("A4", (210.0, 297.0)), ("Letter", (215.9, 279.4))])
def test_template_lies_on_the_paper_chosen(sheet, tmp_path, paper, sides):
    save(tmp_path, use_template=True, paper=paper)
    data = only(tmp_path, "pdf").read_bytes()
    box = re.search(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)", data)
    # A PDF counts in points, 72 to the inch.
    found = sorted(float(side) / 72.0 * 25.4 for side in box.groups())
    assert found == [pytest.approx(side, abs=0.01) for side in sides]


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"use_dxf": False, "use_svg": False, "use_cut_list": False}, "No kind of file"),
        ({"directory": ""}, "No folder"),
    ],
)
def test_bad_wishes_are_told_and_nothing_is_written(sheet, tmp_path, settings, words):
    with pytest.raises(RuntimeError, match=words):
        bpy.ops.flatwright.save_cut_files(**{"directory": str(tmp_path), **settings})
    assert list(tmp_path.iterdir()) == []


def test_pieces_on_each_other_are_refused_before_any_file_is_written(sheet, tmp_path):
    (piece,) = [o for o in sheet.children if o.flatwright_sheet.role == "PIECE"]
    twin = piece.copy()
    bpy.context.collection.objects.link(twin)
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match=r"twice|overlap|same"):
        save(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_sheet_of_a_stock_that_is_gone_is_told(sheet, tmp_path):
    bpy.context.scene.flatwright_stocks.clear()
    with pytest.raises(RuntimeError, match="no stock named"):
        save(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_replacing_is_never_remembered(sheet, tmp_path):
    save(tmp_path, use_svg=False)
    save(tmp_path, use_svg=False, overwrite=True)
    with pytest.raises(RuntimeError, match="allow replacing"):
        save(tmp_path, use_svg=False)


def test_the_words_after_saving_are_short(sheet, tmp_path, package, monkeypatch):
    operators = import_module(f"{package}.addon.files.operators")
    said = []
    monkeypatch.setattr(
        operators.FLATWRIGHT_OT_save_cut_files,
        "finish",
        lambda self, context, result: said.append(operators.said_after(self, result)),
    )
    save(tmp_path, dxf_version="R12")
    ((level, text),) = said
    assert level == "INFO"
    assert text.startswith(f"3 files saved in “{tmp_path.name}”")
    assert "This file is in mm; the square marked in it must measure 10 mm" in text
    assert len(text) < 140


def test_shared_edges_are_cut_once_on_request(package, tmp_path):
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD")
    for number in range(2):
        outlines.add_outline(bpy.context, f"Tile {number}", outline.rectangle(40.0, 30.0))
        bpy.ops.flatwright.make_part()
    bpy.context.scene.flatwright_layout.correct_kerf = False
    bpy.ops.flatwright.lay_out()
    pieces = [o for o in bpy.data.objects if o.flatwright_sheet.role == "PIECE"]
    for number, piece in enumerate(pieces):
        piece.matrix_local.identity()
        piece.location = ((100.0 + 40.0 * number) * MM, 100.0 * MM, 0.0)
    bpy.context.view_layer.update()
    lengths = {}
    for share in (False, True):
        folder = tmp_path / str(share)
        folder.mkdir()
        save(folder, share_edges=share, anyway=True)
        space = ezdxf.readfile(only(folder, "dxf")).modelspace()
        lengths[share] = sum((e.dxf.end - e.dxf.start).magnitude for e in space.query("LINE"))
    assert lengths[False] == pytest.approx(280.0, abs=1e-3)
    assert lengths[True] == pytest.approx(250.0, abs=1e-3)
