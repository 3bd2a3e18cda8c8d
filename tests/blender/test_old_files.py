"""Files of version 0.1.0 open with all that was kept in them, and make what they made then."""

import json
import re
from importlib import import_module

import bpy
import pytest

from tests.blender.old_files import (
    CUT_MM,
    DATA,
    cut_shapes,
    differences,
    expected,
    kept_keys,
    known_choices,
    known_operators,
    known_properties,
    open_copy,
    values,
)
from tests.blender.old_records import Readers

pytestmark = pytest.mark.blender

FILES = ("globe cradle", "every record")
PASSING = "is_computing"
"""A state that lasts as long as parts are computed, though version 0.1.0 kept it in its files."""
ITEM = r"\[\d+\]"
SAME_MM = 1e-4
"""Blender's single precision on a metre is 6e-8 of it; this is well below what any tool cuts."""


@pytest.fixture(params=FILES)
def name(request):
    """Each of the files in turn."""
    return request.param


@pytest.fixture
def opened(package, name, tmp_path):
    """The file opened from a copy; returns what it said when it was saved, and where it lies."""
    return open_copy(name, tmp_path)


@pytest.fixture
def readers(package):
    return Readers(package)


def lasting(told):
    """All but a passing state."""
    return {o: {p: v for p, v in t.items() if PASSING not in p} for o, t in told.items()}


# Nothing is lost -------------------------------------------------------------------------------


def test_every_object_is_there(opened):
    then, _ = opened
    assert {o.name: o.type for o in bpy.data.objects} == then["objects"]


def test_every_property_holds_what_it_held(opened):
    then, _ = opened
    assert differences(lasting(values(then["known"])), lasting(then["values"]), 1e-5) == []


def test_no_property_and_no_record_is_gone(opened):
    then, _ = opened
    assert set(then["known"]) - set(known_properties()) == set()
    assert kept_keys() == then["keys"]


def test_records_say_what_they_said(opened, readers):
    then, _ = opened
    now, was = readers.everything(), then["records"]
    # Of the check before cutting nothing is known that a later version could hold it to.
    for scene, told in now.pop("holds").items():
        # A thickness typed after the check makes it stale, which version 0.1.0 overlooked.
        typed_since = then["values"].get(f"Scene {scene}", {}).get("flatwright_assembly.is_stale")
        kept = was["holds"][scene]
        assert told["suggestions"] == kept["suggestions"]
        assert told["assembly"] == (kept["assembly"] and not typed_since)
    # One part that cannot be built no longer keeps all others from being read.
    readable = {scene for scene, told in was["joints"].items() if "refused" not in told}
    now["joints"] = {scene: told for scene, told in now["joints"].items() if scene in readable}
    was = {**was, "joints": {scene: was["joints"][scene] for scene in readable}}
    del was["holds"]
    assert differences(now, was, SAME_MM) == []


def test_the_files_hold_every_property_and_the_inventory_tells_of_each():
    told = [expected(name) for name in FILES]
    held = {
        f"{owner.split()[0]}.{re.sub(ITEM, '', path)}"
        for one in told
        for owner, found in one["values"].items()
        for path in found
    }
    known = {place for one in told for place in one["known"]}
    assert known - held == set()
    inventory = (DATA / "README.md").read_text(encoding="utf-8")
    keys = {f'["{key}"]' for one in told for names in one["keys"].values() for key in names}
    assert [place for place in sorted(known | keys) if f"| `{place}` |" not in inventory] == []


def test_choices_and_operators_are_named_as_in_files_and_scripts(package):
    then = expected("names")
    choices, operators = known_choices(), known_operators()
    # Files hold a choice by its number: another order of the same names would change what is set.
    lost = {
        place: told
        for place, told in then["choices"].items()
        if not told.items() <= choices[place].items()
    }
    assert lost == {}
    for name, told in then["operators"].items():
        assert name in operators
        for prop, kind in told.items():
            now = operators[name].get(prop)
            assert set(now) >= set(kind) if isinstance(kind, list) else now == kind, (name, prop)


# What is made of them stays what it was --------------------------------------------------------


def test_rebuilding_changes_no_part(opened, readers):
    then, _ = opened
    parts = readers.of("assembly.rebuilding")

    def rebuilt():
        count = parts.rebuild_parts(bpy.context)
        return count, bpy.context.scene.flatwright_assembly.trouble

    made = readers.by_scene(rebuilt)
    # A part whose outline was deleted could not be built then either; now it stops no other.
    refused = {
        s: told["refused"] for s, told in then["records"]["joints"].items() if "refused" in told
    }
    for scene, told in then["records"]["parts"].items():
        count, trouble = made[scene]
        assert count == len(told) - (scene in refused)
        # What happened is told as then; what to do about it is told better since.
        assert refused.get(scene, "").split(". ")[0] in trouble
    now = readers.profiles()
    for curve, told in then["records"]["profiles"].items():
        if "area_mm2" in told:
            assert now[curve]["area_mm2"] == pytest.approx(told["area_mm2"], abs=1e-3)
            assert now[curve]["segments"] == told["segments"]
    assert differences(readers.cut_corners(), then["records"]["cut corners"], CUT_MM) == []


def test_the_assembly_check_finds_what_it_found(opened, readers):
    then, _ = opened
    checked = [s for s in bpy.data.scenes if s.flatwright_assembly.checked]
    assert checked
    for scene in checked:
        bpy.context.window.scene = scene
        before = then["values"][f"Scene {scene.name}"]
        was_stale = scene.flatwright_assembly.is_stale
        assert bpy.ops.flatwright.check_assembly() == {"FINISHED"}
        settings = scene.flatwright_assembly
        for found in ("interferences", "order_found", "is_clear"):
            assert getattr(settings, found) == before.get(f"flatwright_assembly.{found}", 0)
        told = {
            # Labels were written with capitals in 0.1.0.
            f"flatwright_assembly.remarks[{k}].label": ": ".join(
                (r.label.partition(": ")[0].title(), r.label.partition(": ")[2])
            )
            for k, r in enumerate(settings.remarks)
        }
        assert told.items() <= before.items()
        if was_stale:
            # Another thickness was typed after the check, so its gaps are of another sheet.
            continue
        gap_mm = before["flatwright_assembly.least_gap_mm"]
        assert settings.least_gap_mm == pytest.approx(gap_mm, abs=CUT_MM)
        pushed = {entry.thing.name for step in settings.steps for entry in step.pushed}
        things = readers.of("state.things").part_objects(bpy.context)
        # Test pieces are no longer taken for parts of the assembly.
        things = [thing for thing in things if not thing.flatwright_part.trial]
        assert pushed >= {thing.name for thing in things}
        for thing in things:
            told = then["values"][f"Object {thing.name}"]
            check, was_mm = thing.flatwright_check, told.get("flatwright_check.gap_mm", 0.0)
            assert check.gap_mm == pytest.approx(was_mm, abs=CUT_MM)
            assert check.reaches == told.get("flatwright_check.reaches", False)


def test_the_check_before_cutting_reports_the_same(package, opened, capsys):
    then, path = opened
    run = import_module(f"{package}.addon.commands").run
    capsys.readouterr()
    assert run(["check", str(path), "--json"]) == (0 if then["check"]["ready"] else 1)
    now = json.loads(capsys.readouterr().out)
    # That nobody measured a stock is said since.
    found = [f for f in now["findings"] if f["rule"] != "not measured"]
    told = [{k: f[k] for k in ("severity", "rule", "place_mm")} for f in found]
    was = [{k: f[k] for k in ("severity", "rule", "place_mm")} for f in then["check"]["findings"]]
    assert differences(told, was, 0.01) == []
    assert (now["parts"], now["sheets"]) == (then["check"]["parts"], then["check"]["sheets"])


def test_sheets_are_cut_as_they_lie(opened, tmp_path):
    then, _ = opened
    bpy.ops.flatwright.save_cut_files(directory=str(tmp_path), anyway=True)
    now = {path.name: cut_shapes(path) for path in tmp_path.glob("*.dxf")}
    assert differences(now, then["cut as it lies"], CUT_MM) == []


def test_exported_anew_the_same_shapes_are_cut(package, opened, tmp_path, capsys):
    then, path = opened
    before = path.read_bytes()
    out = tmp_path / "cut"
    out.mkdir()
    run = import_module(f"{package}.addon.commands").run
    assert run(["export", str(path), "--out", str(out), "--anyway"]) == 0, capsys.readouterr().err
    now = {p.name: shapes_alone(cut_shapes(p)) for p in out.glob("*.dxf")}
    was = {n: shapes_alone(rows) for n, rows in then["cut anew"].items()}
    assert differences(now, was, CUT_MM) == []
    assert path.read_bytes() == before


def shapes_alone(rows):
    """Layer, kind, length and radius, wherever on the sheet: a better layout is no other part."""
    return sorted([*row[:2], round(row[2], 3), *(round(r, 3) for r in row[5:])] for row in rows)
