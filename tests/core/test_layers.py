"""Imports point one way, and files and functions stay small enough to read."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("photo", "bench", "outline", "part", "assembly", "sheet", "files")
"""In the order of the job: later rooms may import earlier ones, never back."""
BLENDER = {"bpy", "bpy_extras", "bmesh", "mathutils", "gpu", "gpu_extras", "blf", "bl_ext"}
LOOSE_NAMES = {"utils", "util", "helpers", "helper", "common", "misc"}
FILE_LINES = 400
FUNCTION_LINES = 60


def modules(root: Path, package: str) -> list[Path]:
    return sorted((root / package).rglob("*.py"))


def imports(root: Path, path: Path) -> Iterator[tuple[int, bool, str]]:
    """Every import of a file, also inside functions: line, whether relative, full dotted name."""
    inside = path.relative_to(root).parts[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, False, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = inside[: len(inside) - node.level + 1] if node.level else ()
            for alias in node.names:
                words = (*base, *(node.module or "").split("."), alias.name)
                yield node.lineno, node.level > 0, ".".join(word for word in words if word)


def rank(name: str) -> int:
    """Place of a dotted geometry module in the job; what all rooms share comes first."""
    words = name.split(".")
    return ROOMS.index(words[1]) + 1 if len(words) > 1 and words[1] in ROOMS else 0


def broken_in_geometry(root: Path) -> list[str]:
    found = []
    for path in modules(root, "geometry"):
        place = path.relative_to(root)
        own = rank(".".join(place.with_suffix("").parts))
        for line, relative, name in imports(root, path):
            top = name.split(".")[0]
            if top in BLENDER | {"addon"}:
                found.append(f"{place}:{line} imports {name}: the core knows no Blender")
            elif top == "geometry" and not relative:
                found.append(f"{place}:{line} imports {name}: write it relative")
            elif top == "geometry" and rank(name) > own:
                found.append(f"{place}:{line} imports {name}: a later room")
    return found


def broken_in_addon(root: Path) -> list[str]:
    found = []
    for path in modules(root, "addon"):
        place = path.relative_to(root)
        # Panels only draw; operators gather and report. Both leave mathematics to the core.
        barred = {
            "panel.py": {"numpy", "shapely", "geometry"},
            "panels.py": {"numpy", "shapely", "geometry"},
            "operators.py": {"numpy", "shapely"},
        }.get(path.name, set())
        for line, relative, name in imports(root, path):
            top = name.split(".")[0]
            if top in ("addon", "geometry") and not relative:
                found.append(f"{place}:{line} imports {name}: write it relative")
            if top in barred:
                found.append(f"{place}:{line} imports {name}: not in {path.name}")
    return found


def code_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function without its docstring, whose length is no burden to a reader."""
    assert function.end_lineno is not None
    lines = function.end_lineno - function.lineno + 1
    if ast.get_docstring(function) is not None:
        told = function.body[0]
        assert told.end_lineno is not None
        lines -= told.end_lineno - told.lineno + 1
    return lines


def too_big(root: Path) -> list[str]:
    found = []
    for path in (p for package in ("geometry", "addon", "scripts") for p in modules(root, package)):
        place = path.relative_to(root)
        text = path.read_text(encoding="utf-8")
        if path.stem in LOOSE_NAMES:
            found.append(f"{place}: a name that says nothing")
        if len(text.splitlines()) > FILE_LINES:
            found.append(f"{place}: {len(text.splitlines())} lines")
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                lines = code_lines(node)
                if lines > FUNCTION_LINES:
                    found.append(f"{place}:{node.lineno} {node.name}: {lines} lines")
    return found


def test_the_core_imports_only_what_comes_before():
    assert len(modules(ROOT, "geometry")) > len(ROOMS)
    assert broken_in_geometry(ROOT) == []


def test_panels_draw_and_operators_do_not_compute():
    names = {path.name for path in modules(ROOT, "addon")}
    assert {"panel.py", "operators.py"} <= names
    assert broken_in_addon(ROOT) == []


def test_files_and_functions_can_be_read_at_one_sitting():
    assert too_big(ROOT) == []


def test_both_packages_have_the_same_rooms():
    for package in ("geometry", "addon"):
        assert {room for room in ROOMS if (ROOT / package / room / "__init__.py").exists()} == set(
            ROOMS
        )


def test_the_core_imports_without_blender():
    names = [
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        for path in modules(ROOT, "geometry")
    ]
    barred = ", ".join(f"{name!r}: None" for name in sorted(BLENDER))
    program = (
        f"import importlib, sys; sys.modules.update({{{barred}}})\n"
        f"for name in {names!r}: importlib.import_module(name)\n"
        "print(len([m for m in sys.modules if m.split('.')[0] == 'geometry']))"
    )
    result = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert result.returncode == 0, result.stderr
    assert int(result.stdout) == len(names)


# What the rules are for: each of these must be caught.


def broken_tree(root: Path, place: str, text: str) -> Path:
    path = root / place
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return root


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("import bpy", "no Blender"),
        ("def f():\n    from mathutils import Vector", "no Blender"),
        ("from ...addon import work", "no Blender"),
        ("from geometry.photo import read_photo", "relative"),
        ("from ..outline import Profile", "later room"),
        ("from ..outline.profile import Profile", "later room"),
        ("from .. import files", "later room"),
    ],
)
def test_a_wrong_import_in_the_core_is_caught(tmp_path, text, words):
    (found,) = broken_in_geometry(broken_tree(tmp_path, "geometry/bench/wrong.py", text))
    assert words in found


@pytest.mark.parametrize(
    ("place", "text"),
    [
        ("geometry/bench/right.py", "from ..photo import Photo\nfrom ..errors import BenchError"),
        ("geometry/files/right.py", "from ..outline import Profile\nimport numpy as np"),
        ("geometry/bench/right.py", "from .camera import Camera\nfrom . import camera"),
    ],
)
def test_a_right_import_in_the_core_is_let_through(tmp_path, place, text):
    assert broken_in_geometry(broken_tree(tmp_path, place, text)) == []


def test_what_all_rooms_share_imports_none_of_them(tmp_path):
    broken_tree(tmp_path, "geometry/units.py", "from .photo import read_photo")
    (found,) = broken_in_geometry(tmp_path)
    assert "later room" in found


@pytest.mark.parametrize(
    ("place", "text"),
    [
        ("addon/part/panel.py", "import numpy as np"),
        ("addon/part/panel.py", "from ...geometry.part import Stock"),
        ("addon/part/operators.py", "from numpy.linalg import norm"),
        ("addon/part/operators.py", "import shapely"),
        ("addon/part/work.py", "from geometry.part import Stock"),
    ],
)
def test_a_wrong_import_in_the_addon_is_caught(tmp_path, place, text):
    assert len(broken_in_addon(broken_tree(tmp_path, place, text))) == 1


def test_long_code_is_caught_and_a_long_docstring_is_not(tmp_path):
    body = "    x = 1\n" * FUNCTION_LINES
    told = '    """Say.\n' + "\n" * FUNCTION_LINES + '    """\n'
    broken_tree(tmp_path, "geometry/long.py", f"def f():\n{body}\n\ndef g():\n{told}    return 1\n")
    broken_tree(tmp_path, "geometry/part/utils.py", "")
    broken_tree(tmp_path, "addon/longer.py", "x = 1\n" * (FILE_LINES + 1))
    found = too_big(tmp_path)
    assert len(found) == 3
    assert any("f: 61 lines" in line for line in found)
