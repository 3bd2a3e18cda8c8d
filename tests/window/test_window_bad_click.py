"""What a person does wrong is told in a sentence and changes nothing."""

import pytest

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("bad_click")


def test_a_file_that_is_no_photo_is_refused_by_name(outcome):
    assert "note.jpg" in outcome.checks["said_of_no_photo"]
    assert outcome.checks["objects_of_no_photo"] == 0


def test_esc_stops_finding_the_grid(outcome):
    assert outcome.checks["bench_after_esc"] == ""
    assert "Find Grid stopped" in outcome.checks["reports_of_esc"]


def test_a_click_on_the_bare_mat_says_what_to_do(outcome):
    last = outcome.checks["reports_of_bare_mat"].strip().splitlines()[-1]
    assert "lick" in last
    assert last.endswith(".")


def test_a_click_on_the_bare_mat_adds_nothing(outcome):
    assert outcome.checks["outlines"] == 0


def test_a_click_on_the_sidebar_traces_nothing_under_it(outcome):
    new = outcome.checks["reports_of_sidebar"].removeprefix(outcome.checks["reports_of_bare_mat"])
    assert " px" not in new
    assert outcome.checks["outlines_of_sidebar"] == 0
