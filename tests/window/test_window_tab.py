"""The tab fits a small laptop at every stage, and its buttons stay where they are."""

import pytest

pytestmark = pytest.mark.window

LAPTOP = (1366, 768)
MOST_PX = 700
"""Little more than a screen of such a window, whose sidebar is 608 px high."""


@pytest.fixture(scope="module")
def outcome(play):
    return play("tab", size=LAPTOP)


def test_every_stage_fits_a_laptop(outcome):
    heights = outcome.checks["heights_px"]
    assert len(heights) == 18
    assert max(heights.values()) <= MOST_PX, heights


def test_heights_do_not_depend_on_what_is_selected(outcome):
    heights = outcome.checks["heights_px"]
    for name, height in heights.items():
        assert heights[name.removesuffix(", nothing selected")] == height


def test_a_button_stays_where_it_is_when_a_job_ends_and_when_nothing_is_selected(outcome):
    before, after, unselected = outcome.checks["button at"]
    assert before == after == unselected


def test_the_tool_traces_click_after_click_and_names_what_it_traced(outcome):
    assert outcome.checks["traced by tool"] == ["Part 1 outline", "Part 2 outline"]
