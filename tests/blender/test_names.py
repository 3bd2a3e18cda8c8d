"""Names and tooltips as Blender's human interface guidelines want them, so that search finds all.

Source: Blender's developer handbook, Human Interface Guidelines: labels in title case, tooltips
without a full stop at the end (from memory).
"""

import ast
import re
from importlib import import_module
from pathlib import Path

import bpy
import pytest

pytestmark = pytest.mark.blender

SMALL = set("a an and as at by for from in of on or per the to with".split())
OPERATOR_NAMES = set(bpy.types.Operator.bl_rna.properties.keys())
LONGEST_TOOLTIP = 100


def every(kind, package):
    """All registered classes of the extension below one of Blender's."""
    for child in kind.__subclasses__():
        if child.__module__.startswith(f"{package}."):
            yield child
        yield from every(child, package)


@pytest.fixture
def operators(package):
    found = []
    for kind in every(bpy.types.Operator, package):
        room, name = kind.bl_idname.split(".")
        found.append(getattr(getattr(bpy.ops, room), name).get_rna_type())
    assert len(found) > 50
    return found


def is_title_case(label):
    words = [word for word in label.split() if word[:1].isalpha()]
    if not words:
        return True
    inner = [word for word in words[1:-1] if word in SMALL]
    return all(word[0].isupper() for word in words if word not in inner)


def test_title_case_is_told_apart():
    assert all(map(is_title_case, ("Size from Part", "Cross-Lap Parts", "3D Cursor", "ISO 286")))
    assert not any(map(is_title_case, ("Size From part", "trace Outline", "Trace outline")))


def test_operators_are_named_in_title_case(operators):
    assert [op.name for op in operators if not is_title_case(op.name)] == []


def test_no_two_operators_have_the_same_name(operators):
    names = sorted(op.name for op in operators)
    assert sorted(set(names)) == names


def test_every_operator_has_a_tooltip_of_one_sentence(operators):
    wrong = [
        (op.identifier, op.description)
        for op in operators
        if not op.description[:1].isupper()
        or op.description.endswith(".")
        or re.search(r"[.!?] [A-Z]", op.description)
        or len(op.description) > LONGEST_TOOLTIP
    ]
    assert wrong == []


def test_panels_and_menus_are_named_in_title_case(package):
    kinds = [*every(bpy.types.Panel, package), *every(bpy.types.Menu, package)]
    assert [kind.bl_label for kind in kinds if not is_title_case(kind.bl_label)] == []
    assert len(kinds) > 10


def properties(package, operators):
    """Every property that people can see, with whose it is."""
    for base in (bpy.types.PropertyGroup, bpy.types.AddonPreferences):
        known = set(base.bl_rna.properties.keys())
        for kind in every(base, package):
            own = (p for p in kind.bl_rna.properties if p.identifier not in known)
            # What is never shown keeps its identifier for a name.
            yield from ((kind.__name__, prop) for prop in own if prop.name != prop.identifier)
    for op in operators:
        own = (p for p in op.properties if p.identifier not in OPERATOR_NAMES and p.name)
        yield from ((op.identifier, p) for p in own if p.name != p.identifier and not p.is_hidden)


def test_properties_are_named_in_title_case(package, operators):
    found = list(properties(package, operators))
    assert len(found) > 100
    assert [(whose, p.name) for whose, p in found if not is_title_case(p.name)] == []


def test_no_tooltip_ends_with_a_full_stop(package, operators):
    wrong = []
    for whose, prop in properties(package, operators):
        told = [prop.description]
        if prop.type == "ENUM":
            told += [item.description for item in prop.enum_items]
        wrong += [(whose, prop.name, words) for words in told if words.endswith(".")]
    assert wrong == []


def test_every_tool_that_waits_for_the_mouse_tells_its_keys_in_the_status_bar(package):
    tools = 0
    for path in Path(import_module(f"{package}.addon").__path__[0]).rglob("*.py"):
        called = {
            node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.Call)
        }
        if "modal_handler_add" in called:
            assert called & {"status_text_set", "ask_for_click"}, path.name
            tools += 1
    assert tools >= 3
