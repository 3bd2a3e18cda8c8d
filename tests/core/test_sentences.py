"""Errors and findings are templates with values, so that another language can say them too."""

import ast
import builtins
import string
from pathlib import Path

import pytest

from geometry.errors import BenchError, FlatwrightError
from geometry.findings import Finding, Subject, stops_first
from geometry.sentences import Sentence

ROOT = Path(__file__).resolve().parents[2]
TOLD = ("Error", "Finding")


def test_an_error_says_its_sentence_and_keeps_what_it_was_made_of():
    error = BenchError("The marks are {apart_px:.1f} px apart.", apart_px=2.34)
    assert str(error) == "The marks are 2.3 px apart."
    assert (error.template, error.values) == (
        "The marks are {apart_px:.1f} px apart.",
        {"apart_px": 2.34},
    )


def test_a_sentence_without_values_may_hold_braces():
    assert str(FlatwrightError("Type {x} once.")) == "Type {x} once."


def test_a_finding_about_a_named_part_begins_with_its_name():
    web = Finding(
        "caution", "thin web", "Only {width_mm:.1f} mm is left.", {"width_mm": 0.5}, (1.0, 2.0)
    )
    told = web.about(Subject("part", (0, 1), ("Rib",)))
    assert told.sentence == "Rib: Only 0.5 mm is left."
    assert told.values["told"] == Sentence(web.template, web.values)
    assert (told.label, told.place, told.subject.numbers) == ("Thin web: Rib", (1.0, 2.0), (0, 1))


def test_what_stops_comes_first_and_the_rest_stays_in_order():
    one, two, three = (
        Finding(s, r, "") for s, r in (("caution", "a"), ("stop", "b"), ("caution", "c"))
    )
    assert stops_first([one, two, three]) == (two, one, three)


def placeholders(node):
    """Names in a template given as text, or as one of two texts; None for any other expression."""
    if isinstance(node, ast.IfExp):
        one, two = placeholders(node.body), placeholders(node.orelse)
        return None if one is None or two is None else one | two
    if not (isinstance(node, ast.Constant) and isinstance(node.value, str)):
        return None
    return {name for _, name, _, _ in string.Formatter().parse(node.value) if name is not None}


def told(path):
    """(line, names in the template, names given) of every error and finding with values."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
            continue
        if node.func.id == "Finding" and len(node.args) > 3 and isinstance(node.args[3], ast.Dict):
            given = {getattr(key, "value", None) for key in node.args[3].keys}
            yield node.lineno, placeholders(node.args[2]), given
        elif node.func.id.endswith("Error") and node.args and all(k.arg for k in node.keywords):
            given = {keyword.arg for keyword in node.keywords}
            yield node.lineno, placeholders(node.args[0]) if given else set(), given


@pytest.mark.parametrize("room", ["geometry", "addon"])
def test_every_template_names_the_values_it_is_given(room):
    wrong, seen = [], 0
    for path in sorted((ROOT / room).rglob("*.py")):
        for line, named, given in told(path):
            seen += 1
            # What is unpacked into the values is not seen here.
            if named is not None and None not in given and named != given:
                wrong.append(f"{path.relative_to(ROOT)}:{line} {sorted(named ^ given)}")
    assert seen > 20
    assert not wrong, wrong


OLD_TRACER = ROOT / "geometry" / "outline" / "trace"
"""The room that is to be replaced; its sentences are no templates."""


@pytest.mark.parametrize("room", ["geometry", "addon"])
def test_no_sentence_is_put_together_before_it_is_told(room):
    seen, wrong = 0, []
    for path in sorted((ROOT / room).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and path.parent != OLD_TRACER:
                name = getattr(node.func, "id", "")
                if name == "Finding" or (name.endswith("Error") and not hasattr(builtins, name)):
                    seen += 1
                    parts = [part for argument in node.args[:3] for part in ast.walk(argument)]
                    if any(isinstance(part, ast.JoinedStr) for part in parts):
                        wrong.append(f"{path.relative_to(ROOT)}:{node.lineno}")
    assert seen > 60
    assert not wrong, wrong
