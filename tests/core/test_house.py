"""How large rooms, files and functions are; names are used once, and imports never go round."""

import ast
import functools
from collections import defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
MOST_FILES, MOST_LINES, MOST_OF_A_FUNCTION = 26, 320, 60
"""What a person holds in mind, reads in one sitting and sees on one screen."""
MODULES = {
    path.relative_to(ROOT).with_suffix("").parts: path
    for room in ("geometry", "addon")
    for path in sorted((ROOT / room).rglob("*.py"))
}


@functools.cache
def tree(path):
    return ast.parse(path.read_text(encoding="utf-8"))


def test_a_room_can_be_held_in_mind():
    rooms = defaultdict(int)
    for path in MODULES.values():
        rooms[str(path.parent.relative_to(ROOT))] += 1
    assert {room: count for room, count in rooms.items() if count > MOST_FILES} == {}


@pytest.mark.parametrize(
    "path",
    MODULES.values(),
    ids=lambda path: str(path.relative_to(ROOT)),
)
def test_a_file_is_read_in_one_sitting_and_a_function_at_one_look(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.FunctionDef):
            assert node.end_lineno - node.lineno + 1 <= MOST_OF_A_FUNCTION, node.name


def test_a_class_of_the_core_has_a_name_of_its_own():
    owners = defaultdict(list)
    for parts, path in MODULES.items():
        if parts[0] == "geometry":
            for node in ast.walk(tree(path)):
                if isinstance(node, ast.ClassDef):
                    owners[node.name.lstrip("_")].append(".".join(parts))
    assert {name: where for name, where in owners.items() if len(where) > 1} == {}


RECKONING = {"numpy", "math", "shapely", "mathutils"}
DIVIDING = (ast.Mult, ast.Div, ast.FloorDiv, ast.Mod, ast.Pow, ast.MatMult)
HANDED_OVER = ("Operator", "Gizmo", "GizmoGroup", "Panel", "Menu", "UIList")
"""What of Blender's a class is handed to people as, when it is derived from it."""


def is_handed_over(node):
    """Whether a class is an operator, a gizmo, a panel or a menu, which Blender itself starts."""
    if not isinstance(node, ast.ClassDef):
        return False
    bases = {base.attr for base in node.bases if isinstance(base, ast.Attribute)}
    given = [line.targets[0] for line in node.body if isinstance(line, ast.Assign)]
    named = any(isinstance(name, ast.Name) and name.id == "bl_idname" for name in given)
    return named or not bases.isdisjoint(HANDED_OVER)


def reckoned(module):
    """(line, what) for every import of mathematics and every product or quotient in a module.

    There are no exceptions: a path is joined by ``joinpath`` and a sentence put together by an
    f-string, so that a sign means here what it means in a formula.
    """
    for node in ast.walk(module):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and not node.level:
            names = [node.module]
        elif isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, DIVIDING):
            yield node.lineno, type(node.op).__name__
            continue
        else:
            continue
        yield from ((node.lineno, name) for name in names if name.split(".")[0] in RECKONING)


def test_what_blender_starts_holds_no_mathematics():
    handed_over = []
    for parts, path in MODULES.items():
        if parts[0] == "addon":
            module = tree(path)
            if any(is_handed_over(node) for node in ast.walk(module)):
                handed_over.append(path)
                found = list(reckoned(module))
                assert found == [], f"{path.relative_to(ROOT)}: {found}"
    assert len(handed_over) > 30


@pytest.mark.parametrize(
    "line",
    [
        "import numpy as np",
        "from shapely.geometry import Point",
        "half = width / 2",
        "width *= 2",
        "turned = matrix @ place",
        "path = root / 'photo.jpg'",
        "words = '%d parts' % count",
    ],
)
def test_mathematics_is_seen_by_its_syntax(line):
    assert len(list(reckoned(ast.parse(f"def execute():\n    {line}")))) == 1


def imported(parts, path):
    """Modules of the project that a module imports, wherever in it."""
    for node in ast.walk(tree(path)):
        if not (isinstance(node, ast.ImportFrom) and node.level):
            continue
        base = (*parts[: len(parts) - node.level], *(node.module or "").split("."))
        base = tuple(part for part in base if part)
        for alias in node.names:
            for module in ((*base, alias.name), base, (*base, "__init__")):
                if module in MODULES:
                    yield module
                    break


def test_imports_never_go_round():
    waiting = {parts: set(imported(parts, path)) for parts, path in MODULES.items()}
    # The root of the add-on imports its registration, which names the rooms by the root.
    waiting[("addon", "registration")].discard(("addon", "__init__"))
    while waiting:
        free = {parts for parts, needs in waiting.items() if not needs & waiting.keys() - {parts}}
        assert free, f"these import each other: {sorted('.'.join(parts) for parts in waiting)}"
        waiting = {parts: needs for parts, needs in waiting.items() if parts not in free}
