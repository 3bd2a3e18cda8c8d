"""The command line's own functions, called as Blender calls them."""

import json
import math
import re
from importlib import import_module

import bpy
import ezdxf
import pytest
from mathutils import Matrix

pytestmark = pytest.mark.blender


@pytest.fixture
def run(package):
    return import_module(f"{package}.addon.commands").run


@pytest.fixture
def job(package, tmp_path, capsys):
    """A saved file with a 100 mm ring, its hole given, on one sheet of 3 mm plywood."""
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")

    def made(bore_mm=60.0, sheets=True):
        bpy.ops.flatwright.add_stock(kind="PLYWOOD", name="Birch")
        bpy.context.scene.flatwright_stocks[0].measured = {"thickness", "kerf"}
        outlines.add_outline(bpy.context, "Ring", outline.ring(100.0, bore_mm))
        bpy.ops.flatwright.make_part()
        if sheets:
            bpy.ops.flatwright.lay_out()
        path = tmp_path / "globe cradle.blend"
        bpy.ops.wm.save_as_mainfile(filepath=str(path))
        bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
        capsys.readouterr()
        return path

    return made


@pytest.fixture
def out(tmp_path):
    folder = tmp_path / "cut files"
    folder.mkdir()
    return folder


def radii(path):
    return sorted(c.dxf.radius for c in ezdxf.readfile(path).modelspace().query("CIRCLE"))


def test_sound_job_is_ready(run, job, capsys):
    assert run(["check", str(job())]) == 0
    assert capsys.readouterr().out == "Ready.\n"


def test_cautions_are_told_and_stay_ready(run, job, capsys):
    assert run(["check", str(job(bore_mm=96.0)), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["ready"] is True
    assert (answer["parts"], answer["sheets"]) == (1, 1)
    (finding,) = answer["findings"]
    assert (finding["severity"], finding["rule"]) == ("caution", "thin web")
    assert "2.00 mm of material" in finding["sentence"]


def test_what_stops_the_job_is_not_ready(run, job, capsys):
    path = job()
    bpy.ops.wm.open_mainfile(filepath=str(path))
    bpy.context.scene.flatwright_stocks[0].kerf_mm = 0.5
    bpy.ops.wm.save_mainfile()
    capsys.readouterr()
    assert run(["check", str(path), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["ready"] is False
    assert run(["check", str(path)]) == 1
    assert capsys.readouterr().out.endswith("Not ready.\n")


def test_parts_without_sheets_are_checked_alone(run, job, capsys):
    assert run(["check", str(job(sheets=False))]) == 0
    assert "only the parts" in capsys.readouterr().out


def test_export_lays_out_anew_for_the_sheet_at_hand(run, job, out, capsys):
    path = job(sheets=False)
    before = path.read_bytes()
    arguments = ["export", str(path), "--out", str(out), "--thickness", "2.7", "--kerf", "0.3"]
    assert run(arguments) == 0
    written = capsys.readouterr().out.splitlines()
    assert sorted(written) == sorted(str(p) for p in out.iterdir())
    assert sorted(p.suffix for p in out.iterdir()) == [".dxf", ".html", ".svg"]
    (dxf,) = out.glob("*.dxf")
    assert dxf.name == "globe cradle sheet 1 - Birch 2.70 mm - kerf corrected 0.3.dxf"
    assert radii(dxf) == [pytest.approx(29.85, abs=1e-6), pytest.approx(50.15, abs=1e-6)]
    assert path.read_bytes() == before


def test_export_writes_what_is_named_and_replaces_only_when_told(run, job, out, capsys):
    path = job()
    arguments = ["export", str(path), "--out", str(out), "--dxf", "--pdf", "--dxf-unit", "in"]
    assert run([*arguments, "--paper", "Letter"]) == 0
    assert sorted(p.suffix for p in out.iterdir()) == [".dxf", ".pdf"]
    (dxf,) = out.glob("*.dxf")
    assert radii(dxf)[1] == pytest.approx(50.1 / 25.4, abs=1e-8)
    before = {p: p.read_bytes() for p in out.iterdir()}
    assert run([*arguments, "--kerf", "0.2"]) == 1
    assert "exist already" in capsys.readouterr().err
    assert {p: p.read_bytes() for p in out.iterdir()} == before
    assert run([*arguments, "--overwrite"]) == 0


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--stock", "Oak", "--thickness", "4"], "“Birch”"),
        (["--thickness", "0"], "above 0 mm"),
        (["--kerf", "-0.1"], "0 mm or more"),
        (["--kerf", "70"], "kerf"),
    ],
)
def test_what_cannot_be_made_is_told_and_nothing_written(run, job, out, capsys, more, words):
    assert run(["export", str(job()), "--out", str(out), *more]) == 1
    assert words in capsys.readouterr().err
    assert list(out.iterdir()) == []


def test_slots_follow_the_thickness_of_the_sheet_at_hand(run, package, tmp_path, out, capsys):
    outline = import_module(f"{package}.geometry.outline")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    bpy.ops.flatwright.add_stock(kind="PLYWOOD", name="Birch")
    bpy.context.scene.flatwright_stocks[0].thickness_mm = 3.0
    things = []
    for name, size in (("Base", (120.0, 80.0)), ("Wall", (100.0, 40.0))):
        outlines.add_outline(bpy.context, name, outline.rectangle(*size))
        bpy.ops.flatwright.make_part()
        things.append(bpy.context.object)
    # The wall stands on the base; its foot goes through the base in tabs.
    turn = Matrix.Rotation(math.pi / 2.0, 4, "X")
    things[1].matrix_world = Matrix.Translation((0.0, 0.0, 0.0215)) @ turn
    for thing in things:
        thing.select_set(True)
    bpy.ops.flatwright.tab_parts()
    path = tmp_path / "corner.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(path))
    slots, joints = [], []
    for thickness in ("3.0", "2.7"):
        arguments = ["export", str(path), "--out", str(out), "--thickness", thickness]
        assert run([*arguments, "--kerf", "0", "--dxf", "--report"]) == 0, capsys.readouterr().err
        (dxf,) = (p for p in out.glob("*.dxf") if f"{float(thickness):.2f} mm" in p.name)
        lines = ezdxf.readfile(dxf).modelspace().query("LINE[layer=='inside']")
        slots.append(min((line.dxf.end - line.dxf.start).magnitude for line in lines))
        (page,) = (p for p in out.glob("*.html") if f"{float(thickness):.2f} mm" in p.name)
        joints.append(re.findall("1 × tab and slot", page.read_text("utf-8")))
    assert slots[0] - slots[1] == pytest.approx(0.3, abs=1e-4)
    assert joints == [["1 × tab and slot"]] * 2


def test_two_stocks_want_a_name(run, package, job, out, capsys):
    path = job()
    bpy.ops.wm.open_mainfile(filepath=str(path))
    outline = import_module(f"{package}.geometry.outline")
    bpy.ops.flatwright.add_stock(kind="ACRYLIC")
    outlines = import_module(f"{package}.addon.outline.outline_objects")
    outlines.add_outline(bpy.context, "Disc", outline.circle(80.0))
    bpy.ops.flatwright.make_part()
    bpy.ops.wm.save_mainfile()
    arguments = ["export", str(path), "--out", str(out), "--kerf", "0.1"]
    assert run(arguments) == 1
    assert "--stock" in capsys.readouterr().err
    assert run([*arguments, "--dxf", "--stock", "Birch"]) == 0
    names = sorted(p.name for p in out.iterdir())
    assert [("Birch" in n, "corrected 0.1" in n) for n in names] == [(False, False), (True, True)]


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["saw"],
        ["check"],
        ["check", "nowhere.blend"],
        ["export", "nowhere.blend"],
        ["export", "nowhere.blend", "--out", ".", "--thickness", "thick"],
    ],
)
def test_misuse_is_told_apart(run, capsys, arguments):
    assert run(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err


def test_what_is_no_blend_file_and_a_file_without_parts(run, tmp_path, capsys):
    wrong = tmp_path / "letter.blend"
    wrong.write_text("Dear carpenter")
    assert run(["check", str(wrong)]) == 2
    assert "no .blend file" in capsys.readouterr().err
    empty = tmp_path / "empty.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(empty))
    assert run(["check", str(empty)]) == 1
    assert "no part" in capsys.readouterr().err


def test_help_is_no_mistake(run, capsys):
    assert run(["export", "--help"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "--thickness" in said
    # What another thickness changes and what it does not.
    assert "Slots follow the thickness" in said
    assert "stay as designed" in said


def test_every_flag_of_export_at_once(run, job, out, capsys):
    flags = "--dxf --svg --pdf --report --dxf-version R12 --dxf-unit in --dxf-entities polylines"
    flags += " --line-width 0.02 --paper Letter --share-edges --stock Birch --kerf 0.1 --anyway"
    assert run(["export", str(job()), "--out", str(out), *flags.split()]) == 0
    written = capsys.readouterr().out.splitlines()
    assert sorted(p[-4:] for p in written) == [".dxf", ".pdf", ".svg", "html"]
    (svg,) = out.glob("*.svg")
    assert 'stroke-width="0.02"' in svg.read_text()
    (dxf,) = out.glob("*.dxf")
    document = ezdxf.readfile(dxf)
    assert document.dxfversion == "AC1009"
    # 1 in square to measure, as R12 names no unit.
    (square,) = document.modelspace().query("POLYLINE[layer=='measure']")
    xs = [v.dxf.location.x for v in square.vertices]
    assert max(xs) - min(xs) == pytest.approx(1.0, abs=1e-9)
    (page,) = out.glob("*.html")
    assert "read back and measured" in page.read_text("utf-8")


def test_missing_folder_is_told(run, job, tmp_path, capsys):
    assert run(["export", str(job()), "--out", str(tmp_path / "nowhere")]) == 1
    assert "does not exist" in capsys.readouterr().err


def test_the_command_goes_with_the_extension(package):
    commands = import_module(f"{package}.addon.commands")
    assert len(commands._handles) == 1
    bpy.ops.preferences.addon_disable(module=package)
    assert commands._handles == []
    bpy.ops.preferences.addon_enable(module=package)
    assert len(import_module(f"{package}.addon.commands")._handles) == 1


def test_a_photo_is_measured_by_its_grid(run, demo, capsys):
    path, truth = demo
    assert run(["measure", str(path), "--grid", "10mm", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["tilt_deg"] == pytest.approx(truth["tilt_deg"], abs=0.1)
    # The demo's mat has numbers from 0 to 40 and from 0 to 27 along its edges.
    assert answer["squares_seen"] == [40, 27]
    assert answer["grid_mm"] == 10.0
    assert 0.0 < answer["doubt_per_100_mm"] < 0.5


@pytest.mark.parametrize(
    ("name", "grid", "code", "words"),
    [
        ("missing.jpg", "10mm", 2, "no file"),
        ("note.jpg", "10mm", 2, "note.jpg"),
        ("note.jpg", "0", 1, "above 0 mm"),
        ("note.jpg", "ten", 2, "ten"),
    ],
)
def test_what_cannot_be_measured_is_told(run, tmp_path, capsys, name, grid, code, words):
    (tmp_path / "note.jpg").write_text("Not a photo at all.")
    assert run(["measure", str(tmp_path / name), "--grid", grid]) == code
    said = capsys.readouterr()
    assert said.out == ""
    assert words in said.err
