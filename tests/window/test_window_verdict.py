"""How it stands with the job is seen in the sidebar, and one button brings it up to date."""

from itertools import pairwise

import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("verdict")


def test_what_is_stale_is_brought_up_to_date_by_one_button(outcome):
    checks = outcome.checks
    assert checks["first"] == {
        "parts": "current",
        "check": "missing",
        "sheets": "current",
        "files": "missing",
    }
    assert checks["stale"]["sheets"] == "stale"
    assert checks["updated"] == {
        "parts": "current",
        "check": "current",
        "sheets": "current",
        "files": "missing",
    }


def test_a_clash_is_a_failure_and_stops_cutting(outcome):
    assert outcome.checks["failed"]["check"] == "failed"
    severity, sentence = outcome.checks["findings"][0]
    assert severity == "stop"
    assert "does not hold" in sentence


def test_the_sidebar_is_drawn_when_work_beside_it_ends_though_the_mouse_rests(outcome):
    assert outcome.checks["ended"] == 1
    assert outcome.checks["drawn_after_it"]


def test_every_stage_can_be_seen(outcome):
    stages = [read(path) for path in outcome.pictures.values()]
    assert len(stages) == 5
    for before, after in pairwise(stages):
        assert not is_blank(after)
        assert changed(before, after) > 0.0005
