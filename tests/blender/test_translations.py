"""Every word of the interface is known in German; where one is missing, the test prints it."""

import ast
import re
from importlib import import_module
from pathlib import Path

import bpy
import pytest

pytestmark = pytest.mark.blender

DRAWN = {"label", "prop", "operator", "menu", "operator_menu_enum", "prop_search", "template_list"}
"""What draws the words of ``text=`` as they stand, once translated."""


DESIGNATION = re.compile(r"([A-Za-z]{1,2}\d+|mm|)")
"""What is no word in any language, such as H7 or A4, and nothing at all."""


def every(kind, package):
    """All registered classes of the extension below one of Blender's."""
    for child in kind.__subclasses__():
        if child.__module__.startswith(f"{package}."):
            yield child
        yield from every(child, package)


def shown(properties):
    """Names and choices of the properties that people see; the others keep their identifier."""
    for prop in properties:
        if prop.is_hidden or prop.identifier in ("rna_type", prop.name):
            continue
        yield prop.name
        if prop.type == "ENUM":
            yield from (item.name for item in prop.enum_items)


def operators(package):
    for kind in every(bpy.types.Operator, package):
        room, name = kind.bl_idname.split(".")
        yield getattr(getattr(bpy.ops, room), name).get_rna_type()


def declared(package):
    """The words of operators, panels, menus and properties, as Blender knows them."""
    inherited = set(bpy.types.Operator.bl_rna.properties.keys())
    for operator in operators(package):
        yield operator.name
        own = (p for p in operator.properties if p.identifier not in inherited | FILE_DIALOG)
        yield from shown(own)
    for kind in (*every(bpy.types.Panel, package), *every(bpy.types.Menu, package)):
        yield kind.bl_label
    for base in (bpy.types.PropertyGroup, bpy.types.AddonPreferences):
        for kind in every(base, package):
            own = (p for p in kind.bl_rna.properties if p.identifier not in base.bl_rna.properties)
            yield from shown(own)


FILE_DIALOG = {"filepath", "directory", "filename", "files", "filter_glob", "check_existing"}


def literals(node):
    """The words an argument may be, where they stand in the code."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from (*literals(node.body), *literals(node.orelse))
    elif isinstance(node, ast.Tuple):
        for element in node.elts:
            yield from literals(element)


def written(package):
    """The words that panels and menus write themselves, and the names of properties."""
    for path in Path(import_module(f"{package}.addon").__path__[0]).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                yield from written_by(node)


def written_by(call):
    """The words among a call's arguments that people get to see."""
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    if name in ("figures", "sentence", "translated"):
        for argument in call.args:
            yield from literals(argument)
    seen = "text" if name in DRAWN else "name" if name.lower().endswith("property") else None
    for keyword in call.keywords:
        if keyword.arg == seen:
            yield from literals(keyword.value)


def words_of(package):
    steps = import_module(f"{package}.addon.bridge.job").STEPS
    words = {*declared(package), *written(package), *(step.label for step in steps)}
    return {word for word in words if not DESIGNATION.fullmatch(word)}


@pytest.fixture
def german(package):
    return import_module(f"{package}.addon.translations_de").GERMAN


def test_the_words_are_found(package):
    words = words_of(package)
    # One of each: operator, panel, property, choice, drawn word, row of figures, step.
    assert {
        "Trace Outline",
        "Sheets and Fits",
        "Grid Pitch",
        "Cross-Lap",
        "Accept All",
        "Camera Tilt",
        "Find its true scale",
        "Outside Diameter",
    } <= words
    assert len(words) > 250


def test_every_word_of_the_interface_is_known_in_german(package, german):
    missing = sorted(words_of(package) - german.keys())
    assert not missing, "\n".join(["No German in addon/translations_de.py for:", *missing])


def test_no_german_is_kept_for_what_is_gone(package, german):
    unused = sorted(german.keys() - words_of(package) - {"(optional)"})
    assert not unused, "\n".join(["Nothing says any longer:", *unused])


def test_the_german_is_written_out(german):
    for english, said in german.items():
        assert said == said.strip() != "", english
        # A sentence stays a sentence, and a label does not become one.
        assert english.endswith(".") == said.endswith("."), english


def test_everything_asks_for_its_words_in_the_extension_s_own_context(package):
    context = import_module(f"{package}.addon.translations").CONTEXT
    kinds = (bpy.types.Operator, bpy.types.Panel, bpy.types.Menu)
    asking = {kind.bl_translation_context for base in kinds for kind in every(base, package)}
    assert asking == {context}
    bench = bpy.types.Object.bl_rna.properties["flatwright_bench"].fixed_type.properties
    assert {bench["pitch"].translation_context, bench["reference"].translation_context} == {context}
    around = bpy.ops.flatwright.stand_around.get_rna_type()
    assert around.translation_context == context
    assert around.properties["facing"].translation_context == context
