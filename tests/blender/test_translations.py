"""Every word of the interface is known in German; where one is missing, the test prints it."""

import ast
import builtins
import functools
import re
import string
import tomllib
from importlib import import_module
from pathlib import Path

import bpy
import pytest

pytestmark = pytest.mark.blender

DRAWN = {"label", "prop", "operator", "menu", "operator_menu_enum", "prop_search", "template_list"}
"""What draws the words of ``text=`` as they stand, once translated."""


DESIGNATION = re.compile(r"([A-Za-z]{1,2}\d+|mm|[\d.]+ × [\d.]+ mm|)")
"""What is no word in any language, such as H7, A4 or a size, and nothing at all."""


def put_in(words):
    """Names of what is put into words, and how each is written."""
    try:
        return {(name, form) for _, name, form, _ in string.Formatter().parse(words) if name}
    except ValueError:
        # A sentence that is not put together may hold a brace.
        return set()


def every(kind, package):
    """All registered classes of the extension below one of Blender's."""
    for child in kind.__subclasses__():
        if child.__module__.startswith(f"{package}."):
            yield child
        yield from every(child, package)


def shown(properties):
    """Names, choices and tooltips of the properties that people see."""
    for prop in properties:
        # What is never shown keeps its identifier for a name.
        if prop.is_hidden or prop.identifier in ("rna_type", prop.name):
            continue
        yield from (prop.name, prop.description)
        if prop.type == "ENUM":
            for item in prop.enum_items:
                yield from (item.name, item.description)


def operators(package):
    for kind in every(bpy.types.Operator, package):
        room, name = kind.bl_idname.split(".")
        yield getattr(getattr(bpy.ops, room), name).get_rna_type()


def declared(package):
    """The words of operators, panels, menus and properties, as Blender knows them."""
    for operator in operators(package):
        yield from (operator.name, operator.description)
        own = (p for p in operator.properties if p.identifier not in FILE_DIALOG)
        yield from shown(own)
    for kind in (*every(bpy.types.Panel, package), *every(bpy.types.Menu, package)):
        yield kind.bl_label
    for base in (bpy.types.PropertyGroup, bpy.types.AddonPreferences):
        for kind in every(base, package):
            own = (p for p in kind.bl_rna.properties if p.identifier not in base.bl_rna.properties)
            yield from shown(own)


FILE_DIALOG = {"filepath", "directory", "filename", "files", "filter_glob", "check_existing"}
LOOKED_UP = {"figures", "sentence", "translated", "reported", "reported_of", "hinted"}
"""What looks its words up and then draws or tells them."""
HELD = {"hint", "unmarked", "prompts", "HINTS", "TOLD", "WORDS"}
"""Names of what keeps words until they are looked up."""


def literals(node):
    """The words an argument may be, where they stand in the code."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from (*literals(node.body), *literals(node.orelse))
    elif isinstance(node, ast.Tuple):
        for element in node.elts:
            yield from literals(element)
    elif isinstance(node, ast.Dict):
        for element in node.values:
            yield from literals(element)
    elif isinstance(node, ast.Subscript):
        yield from literals(node.value)


def parsed(package, folder):
    """Every module of a folder of the extension, with its name."""
    for path in Path(import_module(f"{package}.{folder}").__path__[0]).rglob("*.py"):
        yield path.name, ast.parse(path.read_text(encoding="utf-8"))


def called(call):
    """The name of what is called."""
    return call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")


def written(package):
    """The words that panels, menus and reports write themselves, and the names of properties."""
    for _, tree in parsed(package, "addon"):
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                yield from written_by(node)
            elif isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") in HELD:
                yield from literals(node.value)


def written_by(call):
    """The words among a call's arguments that people get to see."""
    name = called(call)
    if name == "_says":
        # What a finding of the verdict is named after; the name of a row in the list.
        yield from literals(call.args[1])
    if name in LOOKED_UP:
        for argument in call.args:
            yield from literals(argument)
    seen = "text" if name in DRAWN else "name" if name.lower().endswith("property") else None
    for keyword in call.keywords:
        if keyword.arg == seen:
            yield from literals(keyword.value)


def told_while_working(package):
    """What the core says it is doing, as the status bar shows it."""
    for folder in ("addon", "geometry"):
        for _, tree in parsed(package, folder):
            for node in ast.walk(tree):
                if isinstance(node, ast.Call) and called(node) in ("tell", "progress"):
                    for argument in node.args[1:]:
                        yield from literals(argument)


def refused(package):
    """Sentences of the window's mistakes."""
    for name, tree in parsed(package, "addon"):
        for node in ast.walk(tree):
            # The command line speaks English, as Blender's own does.
            if isinstance(node, ast.Call) and name not in ("commands.py", "measuring.py"):
                is_mistake = str(called(node)).endswith("Error") and node.args
                yield from literals(node.args[0]) if is_mistake else ()


TEMPLATE = re.compile(r"[^\n]*\{[a-z]\w*(:[^{}]*)?\}[^\n]*\.")
CORE = Path(__file__).resolve().parents[2] / "geometry"


def said_by_the_core():
    """Templates of its mistakes and findings, and the names of what is looked for."""
    for path in sorted(CORE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        known = bound(tree)
        calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and node.args]
        spoken = [
            argument
            for call in calls
            for argument in (
                call.args[:1]
                if called(call) == "Sentence" or is_mistake(called(call))
                else call.args[1:3]
                if called(call) == "Finding"
                else ()
            )
        ]
        for argument in spoken:
            yield from resolved(argument, known)
        # What is handed on before it is raised or found: whole sentences that wait for values.
        docstrings = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                if id(node) not in docstrings and TEMPLATE.fullmatch(node.value):
                    yield node.value


def is_mistake(name):
    """Whether a name is an error of the project's own, not one of Python's."""
    return name.endswith("Error") and not hasattr(builtins, name)


def bound(tree):
    """What each name of a module may stand for: assigned, or taken in turn from a table."""
    known = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign):
            for target in node.targets:
                known.setdefault(getattr(target, "id", ""), []).append(node.value)
        elif isinstance(node, ast.AnnAssign) and node.value is not None:
            known.setdefault(getattr(node.target, "id", ""), []).append(node.value)
        elif isinstance(node, ast.Call) and called(node) == "append" and node.args:
            # A list that is filled, row by row, and then gone through.
            owner = getattr(node.func.value, "id", "")
            known.setdefault(owner, []).append(ast.Tuple([node.args[0]]))
    for node in ast.walk(tree):
        if isinstance(node, ast.For | ast.comprehension) and isinstance(node.target, ast.Tuple):
            tables = [node.iter, *known.get(getattr(node.iter, "id", ""), ())]
            rows = [row for table in tables for row in getattr(table, "elts", ())]
            for place, target in enumerate(node.target.elts):
                values = [row.elts[place] for row in rows if len(getattr(row, "elts", ())) > place]
                known.setdefault(getattr(target, "id", ""), []).extend(values)
    return known


def resolved(node, known, depth=0):
    """The words an expression may be, by way of names."""
    if isinstance(node, ast.Name) and depth < 4:
        for value in known.get(node.id, ()):
            yield from resolved(value, known, depth + 1)
    elif isinstance(node, ast.Subscript):
        yield from resolved(node.value, known, depth)
    elif isinstance(node, ast.IfExp):
        yield from resolved(node.body, known, depth)
        yield from resolved(node.orelse, known, depth)
    elif isinstance(node, ast.Dict | ast.Tuple | ast.List):
        for element in getattr(node, "elts", None) or node.values:
            yield from resolved(element, known, depth)
    else:
        yield from literals(node)


@functools.cache
def words_of(package):
    steps = import_module(f"{package}.addon.state.job").STEPS
    words = {*declared(package), *written(package), *(step.label for step in steps)}
    for tool in import_module(f"{package}.addon.guide.tools").TOOLS:
        words |= {tool.bl_label, tool.bl_description}
    words |= {*told_while_working(package), *refused(package), *said_by_the_core()}
    return frozenset(word for word in words if not DESIGNATION.fullmatch(word))


def words(package):
    return import_module(f"{package}.addon.locale.words")


@pytest.fixture
def german(package):
    return words(package).dictionary("de")


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
    # And a tooltip, a setting's tooltip, why a button is grey, a report, keys, work going on.
    assert {
        "Give every selected outline the thickness of the chosen stock",
        "Full width of material the tool removes",
        "Press Make Part first",
        "{number} parts cut to the fixture.",
        "{what}   (Esc: Cancel)",
        "Looking for the grid",
    } <= words
    # And of the core: a mistake and a finding with numbers, words put in, what was looked for.
    assert {
        "The grid pitch must be above 0 mm, not {pitch_mm:g}. Type it again.",
        "{sheet}: nothing lies on it. Press Lay Out Sheets.",
        "rectangle's width",
        "thin web",
        "frail",
    } <= words
    assert len(words) > 500


def test_every_word_of_the_interface_is_known_in_german(package, german):
    missing = sorted(words_of(package) - german.keys())
    assert not missing, "\n".join(["No German in addon/locale/de for:", *missing])


def test_no_german_is_kept_for_what_is_gone(package, german):
    unused = sorted(german.keys() - words_of(package) - {"(optional)"})
    assert not unused, "\n".join(["Nothing says any longer:", *unused])


def test_no_word_is_said_in_two_ways(package, german):
    folder = Path(words(package).__file__).parent / "de"
    tables = [
        table
        for path in folder.glob("*.toml")
        for table in tomllib.loads(path.read_text(encoding="utf-8")).values()
    ]
    assert len(tables) > 15
    twice = sorted({en for table in tables for en, de in table.items() if german[en] != de})
    assert twice == []


OTHER_WORDS = {
    "Vorrat": "Bibliothek",
    "Gegenstand": "Bezugsobjekt",
    "Überlappung": "Überschneidung",
    "Unterlage finden": "Maßstab",
    "Leiste": "Stufe",
}
"""Words that once stood beside the one that now stands for the same thing."""


def test_one_german_word_stands_for_one_thing(german):
    wrong = [f"{said}: {OTHER_WORDS[word]}" for said in german.values() for word in OTHER_WORDS
             if word in said]  # fmt: skip
    assert not wrong, "\n".join(wrong)


def test_the_german_is_written_out(german):
    for english, said in german.items():
        assert said == said.strip() != "", english
        # Infinitives, as Blender has them: nobody is addressed.
        assert not re.search(r"[a-z]en Sie\b", said), english
        # A sentence stays a sentence, and a label does not become one.
        assert english.endswith(".") == said.endswith("."), english
        # What is put in is put in under the same names, written in the same way.
        assert put_in(english) == put_in(said), english


def loose(node):
    """Words in an expression that are not looked up in the dictionary."""
    if isinstance(node, ast.Call) and called(node) in LOOKED_UP:
        return
    if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.strip():
        yield node.value
    if isinstance(node, ast.JoinedStr):
        # Only what stands between the values may be a word.
        texts = [v.value for v in node.values if isinstance(v, ast.Constant)]
        yield from (text for text in texts if re.search("[A-Za-z]", text))
        return
    for child in ast.iter_child_nodes(node):
        yield from loose(child)


def test_reports_reasons_and_key_hints_are_looked_up_before_they_are_told(package):
    wrong, seen = [], 0
    for module, tree in parsed(package, "addon"):
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call) or called(node) not in TELLING:
                continue
            seen += 1
            which = TELLING[called(node)]
            words = [w for argument in node.args[which:] for w in loose(argument)]
            wrong += [(module, node.lineno, *words)] if words else []
    assert seen > 80
    assert wrong == []


TELLING = {"report": 1, "poll_message_set": 0, "status_text_set": 0}
"""What tells a person something, and from which argument on."""


def test_everything_asks_for_its_words_in_the_extension_s_own_context(package):
    context = import_module(f"{package}.addon.locale.words").CONTEXT
    kinds = (bpy.types.Operator, bpy.types.Panel, bpy.types.Menu)
    asking = {kind.bl_translation_context for base in kinds for kind in every(base, package)}
    assert asking == {context}
    bench = bpy.types.Object.bl_rna.properties["flatwright_bench"].fixed_type.properties
    assert {bench["pitch"].translation_context, bench["reference"].translation_context} == {context}
    around = bpy.ops.flatwright.stand_around.get_rna_type()
    assert around.translation_context == context
    assert around.properties["facing"].translation_context == context


def test_a_mistake_with_numbers_is_said_in_another_language_with_its_numbers(package, monkeypatch):
    module = words(package)
    error = import_module(f"{package}.geometry.errors").BenchError(
        "The two marks are only {apart_px:.1f} pixels apart. {advice}",
        apart_px=3.21,
        advice=import_module(f"{package}.geometry.sentences").Sentence("Zoom in."),
    )
    known = {
        "The two marks are only {apart_px:.1f} pixels apart. {advice}": (
            "{advice} Die Marken liegen nur {apart_px:.1f} Pixel auseinander."
        ),
        "Zoom in.": "Näher heran.",
    }
    monkeypatch.setattr(module, "_report", lambda template: known[template])
    assert module.in_words(error) == "Näher heran. Die Marken liegen nur 3.2 Pixel auseinander."
