"""The walls between the rooms: who may import whom, and what no file is named."""

import ast
import functools
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
ORDER = ("photo", "bench", "outline", "part", "assembly", "sheet", "files")
ADDON_ORDER = ("locale", "blender", "state", "panels", *ORDER, "guide")
"""The add-on's rooms and what they share; under the stages lie words, Blender itself, and what is
up to date. The rest of the modules beside the rooms use them all."""
BLENDER = {"bpy", "mathutils", "gpu", "gpu_extras", "bpy_extras", "blf", "bmesh"}
INNER = {
    "bench": ("mats", "references", "joining"),
    "outline": (
        "curves",
        "fit",
        "symmetry",
        "corrections",
        "trace",
        "pen_line",
        "comparison",
    ),
    "assembly": ("solids", "joints", "sequence", "measured"),
    "files": ("reading", "writing"),
}
"""Rooms within a stage, each with its own door; later ones may import earlier ones."""
VAGUE = {"utils", "helpers", "common", "misc", "util"}

CORE = sorted((ROOT / "geometry").rglob("*.py"))
ADDON = sorted((ROOT / "addon").rglob("*.py"))


@functools.cache
def imports(path):
    """(level, module) of every import of a file, also those inside functions."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [(0, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            found.append((node.level, node.module or ""))
    return found


def absolute(path, level, module):
    """The module an import names, from the repository's root."""
    if level == 0:
        return module
    package = path.relative_to(ROOT).with_suffix("").parts[:-level]
    return ".".join((*package, module)).rstrip(".")


def named(path):
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("path", CORE, ids=named)
def test_core_never_touches_blender_and_imports_only_earlier_rooms(path):
    room = path.relative_to(ROOT / "geometry").parts[0]
    for level, module in imports(path):
        assert level > 0 or module.split(".")[0] not in BLENDER | {"addon", "geometry"}, module
        full = absolute(path, level, module).split(".")
        if full[0] != "geometry" or len(full) < 2 or full[1] not in ORDER:
            continue
        assert room in ORDER, f"{named(path)} is under every room and may import none: {module}"
        assert ORDER.index(full[1]) <= ORDER.index(room), f"{named(path)} looks ahead: {module}"


@pytest.mark.parametrize("path", CORE, ids=named)
def test_inner_rooms_are_entered_by_their_doors_and_import_only_earlier_ones(path):
    stage, *inside = path.relative_to(ROOT / "geometry").parts[:-1] or ("",)
    for level, module in imports(path):
        full = absolute(path, level, module).split(".")
        if full[0] != "geometry" or len(full) < 3 or full[2] not in INNER.get(full[1], ()):
            continue
        if (stage, *inside) == tuple(full[1:3]):
            continue
        assert len(full) == 3, f"{named(path)} goes past the door of {'.'.join(full[:3])}"
        if stage == full[1] and inside:
            order = INNER[stage]
            assert order.index(full[2]) < order.index(inside[0]), f"{named(path)} looks ahead"


@pytest.mark.parametrize("path", ADDON, ids=named)
def test_addon_panels_hold_no_logic_and_operators_no_mathematics(path):
    for level, module in imports(path):
        full = absolute(path, level, module).split(".")
        if path.name in ("panel.py", "panels.py"):
            assert full[0] not in ("numpy", "shapely", "geometry"), module
        if path.name == "operators.py":
            assert full[0] not in ("numpy", "shapely", "ezdxf"), module


@pytest.mark.parametrize("path", ADDON, ids=named)
def test_addon_rooms_import_only_earlier_ones_and_blender_knows_nothing_of_the_job(path):
    place = path.relative_to(ROOT / "addon").with_suffix("").parts[0]
    if place not in ADDON_ORDER:
        return
    for level, module in imports(path):
        full = absolute(path, level, module).split(".")
        if full[0] == "addon":
            reached = ADDON_ORDER.index(full[1]) if len(full) > 1 else len(ADDON_ORDER)
            assert reached <= ADDON_ORDER.index(place), f"{named(path)} looks ahead: {module}"


def test_no_file_is_named_for_nothing():
    assert [named(path) for path in CORE + ADDON if path.stem in VAGUE] == []


def test_core_works_where_there_is_no_blender():
    rooms = ", ".join(f"geometry.{room}" for room in ORDER)
    code = f"import sys; sys.modules['bpy'] = None; import {rooms}"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
