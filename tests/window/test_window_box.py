"""A box is added by the Add menu, undone in one step, made with a lid and checked."""

import pytest
from pictures import is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("box")


def test_the_add_menu_makes_a_whole_box(outcome):
    assert outcome.checks["closed"] == [6, 12]


def test_a_lid_is_one_choice_away(outcome):
    assert outcome.checks["lid"] == [7, 8]
    assert "fingers of" in outcome.checks["figures"]


def test_it_goes_together(outcome):
    assert outcome.checks["clear"] is True
    assert outcome.checks["steps"] == 7


def test_every_stage_can_be_seen(outcome):
    assert len(outcome.pictures) == 5
    assert not any(is_blank(read(path)) for path in outcome.pictures.values())
