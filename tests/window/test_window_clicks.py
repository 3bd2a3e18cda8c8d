"""One click more on a trace, a pen line traced, and every tool given up with nothing changed."""

import math
from itertools import pairwise

import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


TOOLS = (
    "mark_length mark_rectangle add_length move_marks trace_outline trace_drawn add_to_trace "
    "remove_from_trace make_symmetric move_axis place_on_face mate_edges"
).split()


@pytest.fixture(scope="module")
def outcome(play):
    return play("clicks")


@pytest.mark.parametrize("name", ["added", "removed", "drawn"])
def test_undo_takes_the_click_back(outcome, name):
    assert outcome.checks[f"{name} undone"] is True


def test_tape_on_the_part_belongs_to_it_and_a_click_on_it_changes_nothing(outcome):
    (before, holes), (after, holes_after) = outcome.checks["added"]
    # Some of the 9 mm of the strip that reach over the edge may come and go with it.
    assert after == pytest.approx(before, abs=60.0)
    assert len(holes_after) == len(holes)


def test_a_click_on_the_spot_cuts_it_out(outcome):
    (before, holes), (after, holes_after) = outcome.checks["removed"]
    # A spot of 1.8 mm across, drawn on the mat's plane, is a little smaller at the part's height.
    assert len(holes_after) == len(holes) + 1
    assert holes_after[0] == pytest.approx(math.pi * 0.9**2, abs=1.0)
    # All of the rim is read anew; a hundredth of a millimetre along it makes some square ones.
    assert before - after == pytest.approx(holes_after[0], abs=8.0)


def test_the_middle_of_the_pen_line_is_a_circle(outcome):
    width, height, area = outcome.checks["drawn"]
    # Drawn 40 mm across in the mat's plane, and measured at the mock-up's height of 5 mm, where
    # the same picture is smaller by 5 / 356, the camera's height.
    assert width == pytest.approx(40.0 * (1.0 - 5.0 / 355.9), abs=0.2)
    assert height == pytest.approx(width, abs=0.2)
    assert area == pytest.approx(math.pi / 4.0 * width * height, rel=0.01)


@pytest.mark.parametrize("name", TOOLS)
def test_giving_up_a_tool_changes_nothing(outcome, name):
    ways = [way for way in ("ESC", "RIGHTMOUSE") if f"{name} {way}" in outcome.checks]
    assert "ESC" in ways
    for way in ways:
        (ran, still_runs), unchanged = outcome.checks[f"{name} {way}"]
        assert ran == 1, f"{name} did not wait for the mouse"
        assert still_runs == 0, f"{name} goes on after {way}"
        assert unchanged is True, f"{name} changed something, given up with {way}"


def test_the_right_button_gives_up_every_kind_of_tool(outcome):
    assert sum(check.endswith("RIGHTMOUSE") for check in outcome.checks) == 6


def test_no_tool_left_a_step_of_undo(outcome):
    assert "Rib" in outcome.checks["undone"]
    assert not any(name.startswith("Cube") for name in outcome.checks["undone"])


def test_every_stage_can_be_seen(outcome):
    stages = [read(path) for path in outcome.pictures.values()]
    assert len(stages) == 5
    for before, after in pairwise(stages):
        assert not is_blank(after)
        assert changed(before, after) > 0.0002
