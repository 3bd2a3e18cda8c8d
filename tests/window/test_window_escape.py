"""Esc and the right button end every tool of the viewport with nothing changed."""

import pytest
from pictures import is_blank, read

pytestmark = pytest.mark.window

TOOLS = (
    "mark_length mark_rectangle add_length move_marks trace_outline trace_drawn add_to_trace "
    "remove_from_trace make_symmetric move_axis place_on_face mate_edges"
).split()


@pytest.fixture(scope="module")
def outcome(play):
    return play("escape")


@pytest.mark.parametrize("name", TOOLS)
def test_giving_up_a_tool_changes_nothing(outcome, name):
    for way in ("ESC", "RIGHTMOUSE"):
        (ran, still_runs), unchanged = outcome.checks[f"{name} {way}"]
        assert ran == 1, f"{name} did not wait for the mouse"
        assert still_runs == 0, f"{name} goes on after {way}"
        assert unchanged is True, f"{name} changed something, given up with {way}"


def test_no_tool_left_a_step_of_undo(outcome):
    assert "Rib" in outcome.checks["undone"]
    assert not any(name.startswith("Cube") for name in outcome.checks["undone"])


def test_the_scene_can_be_seen(outcome):
    assert not is_blank(read(outcome.pictures["after all"]))
