"""Tools of the toolbar and signs of the check, by the mouse alone."""

import pytest

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("habits")


def test_marks_are_set_with_the_toolbar_s_tools(outcome):
    assert outcome.checks["length by tool"] == [True, True]
    assert outcome.checks["rectangle by tool"] == [True, True]


def test_a_part_is_traced_with_the_toolbar_s_tool(outcome):
    assert outcome.checks["traced by tool"] == ["Part 1 outline"]


def test_a_sign_says_whose_gap_it_is_and_a_click_selects_the_part(outcome):
    checks = outcome.checks
    (part,) = checks["hovered is about"]
    assert checks["hovered says"].startswith(f"{part}: gap ")
    assert checks["selected by click"] == [part]
    assert checks["rests beside"]


def test_copies_on_a_sheet_have_numbers(outcome):
    pieces = outcome.checks["pieces"]
    base = next(name for name in pieces if "(" not in name).removesuffix(" to cut")
    assert sorted(pieces) == sorted([f"{base}{copy} to cut" for copy in ("", " (2)", " (3)")])
