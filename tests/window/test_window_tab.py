"""The tab fits a small laptop at every stage, and its buttons stay where they are."""

import pytest

pytestmark = pytest.mark.window

ROOM_PX = 608
"""The sidebar's height in the window of a laptop, 1366 × 768."""
LOW = (1366, 560)
"""What is lower than the sidebar cannot be measured by scrolling, so this window is lower."""


@pytest.fixture(scope="module")
def outcome(play):
    return play("tab", size=LOW)


def test_every_stage_fits_a_laptop_in_both_languages(outcome):
    heights, opened = outcome.checks["heights_px"], outcome.checks["opened_px"]
    assert (len(heights), len(opened)) == (18, 18)
    assert max(*heights.values(), *opened.values()) <= ROOM_PX, (heights, opened)


def test_heights_do_not_depend_on_what_is_selected(outcome):
    heights = outcome.checks["heights_px"]
    for name, height in heights.items():
        assert height == heights[name.removesuffix(", nothing selected")]


def test_a_button_stays_where_it_is_when_a_job_ends_and_when_nothing_is_selected(outcome):
    before, after, unselected = outcome.checks["button at"]
    assert before == after == unselected


def test_the_tool_traces_click_after_click_and_names_what_it_traced(outcome):
    assert outcome.checks["traced by tool"] == ["Part 1 outline", "Part 2 outline"]
