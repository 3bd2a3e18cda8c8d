"""Every refusal says what to do next, and where it names a button, the window has that button."""

import ast
import builtins
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
OLD_TRACER = ROOT / "geometry" / "outline" / "trace"
"""The room that is to be replaced; its sentences are no templates."""

NOTHING_TO_DO = {
    "Everything is done",
    "Nothing is out of date",
    "No outline is scaled",
    "No hidden part waits for a decision",
    "Nothing must be cut again. What is laid out stays as it is.",
}
"""Why a button is grey that has no work; there is no next one."""

NEXT = re.compile(
    r"(?:^|[.;:!?,] (?:or |and |then |there )*|first, |, or )"
    r"(?:accept|add|allow|apply|ask|avoid|check|choose|clear|click|close|compare|convert|copy|create"
    r"|cross-lap|cut|delete|divide|drag|draw|enable|fill|find|free|give|go back|go nearer|hold"
    r"|import|install|join|keep|lap|lay|leave|let|look|make|mark|measure|mend|move|name"
    r"|object ▸|open|pack|photograph|pick|place|press|push|put|raise|read|recalculate"
    r"|remove|repair|replace|reset|save|say|select|set|show|state|swap|switch|take"
    r"|there are|this|trace|triangulate|trim|try|turn|type|undo|update|use|widen|write|zoom)\b",
    re.I,
)
"""A part of a sentence that begins with what to do."""


def texts(node):
    """The words an argument may be, looked up or not."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from (*texts(node.body), *texts(node.orelse))
    elif isinstance(node, ast.Call) and node.args:
        yield from texts(node.args[0])


def called(node):
    return getattr(node.func, "id", getattr(node.func, "attr", ""))


def refusals(room):
    """(place, sentence) of every mistake raised, and of every reason why a button is grey."""
    for path in sorted((ROOT / room).rglob("*.py")):
        if path.parent == OLD_TRACER:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and node.args):
                continue
            name = called(node)
            mistake = name.endswith("Error") and not hasattr(builtins, name)
            if mistake or name == "poll_message_set":
                for said in texts(node.args[0]):
                    yield f"{path.relative_to(ROOT)}:{node.lineno}", said


@pytest.fixture
def german():
    words = {}
    for path in (ROOT / "addon/locale/de").glob("*.toml"):
        for table in tomllib.loads(path.read_text("utf-8")).values():
            words.update(table)
    return words


@pytest.fixture
def labels():
    table = tomllib.loads((ROOT / "addon/locale/de/labels.toml").read_text("utf-8"))
    return {en: de for room in table.values() for en, de in room.items()}


@pytest.mark.parametrize("room", ["addon", "geometry"])
def test_every_refusal_says_what_to_do_next(room):
    # One that hands on another's words ends with them.
    found = {said: place for place, said in refusals(room) if not said.rstrip(".").endswith("}")}
    assert len(found) > 90
    mute = [
        f"{place} {said}"
        for said, place in found.items()
        if not NEXT.search(said) and said not in NOTHING_TO_DO
    ]
    assert not mute, "\n".join(["Say what to do next:", *mute])


def named(said, labels):
    """Labels of the window that a sentence asks to press, the longest that fits each place."""
    for found in re.finditer(r"\b[Pp]ress ", said):
        rest = said[found.end() :]
        fits = [label for label in (*labels, "+") if rest.startswith(label)]
        yield max(fits, key=len, default=None), rest


def test_a_button_that_is_to_be_pressed_is_one_of_the_window_in_both_languages(labels, german):
    wrong, seen = [], 0
    for place, said in refusals("addon"):
        for label, rest in named(said, labels):
            seen += 1
            if label is None:
                # Handles and marks are pressed too.
                wrong += [] if rest.startswith("on ") else [f"{place} {said}"]
            elif label != "+" and f"„{labels[label]}“" not in german.get(said, ""):
                wrong.append(f"{place} {said} = {german.get(said)}")
    assert seen > 25
    assert not wrong, "\n".join(wrong)


def test_what_german_refusals_quote_as_a_label_is_one(labels, german):
    known = {*labels.values(), *(word for words in labels.values() for word in words.split(" ▸ "))}
    wrong = [
        f"{place} {quoted}"
        for place, said in refusals("addon")
        for quoted in re.findall("„([^“{]+)“", german.get(said, ""))
        if quoted not in known
    ]
    assert not wrong, "\n".join(wrong)
