"""Sheets in a real window: the other of two is a button, one that does not lie flat is told."""

import pytest
from pictures import is_blank, read

pytestmark = [pytest.mark.window, pytest.mark.long]


@pytest.fixture(scope="module")
def outcome(play):
    return play("sheets")


def test_the_other_of_two_prints_is_a_button_away(outcome):
    # A4 has 27 × 18 squares, Letter 25 × 19.
    assert sorted(map(tuple, outcome.checks["squares"])) == [(25, 19), (27, 18)]


def test_a_sheet_that_does_not_lie_flat_is_told(outcome):
    assert "bowed" in outcome.checks["told"]
    assert "Weigh it down" in outcome.checks["told"]


def test_pictures_show_something(outcome):
    for name in ("first sheet", "other sheet", "no scale yet", "curled"):
        assert not is_blank(read(outcome.pictures[name]))
