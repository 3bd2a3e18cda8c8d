"""Pieces on a sheet are nudged, pinned and improved by mouse and keys."""

from itertools import pairwise

import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("sheet")


def test_a_nudged_piece_gets_a_sign_until_it_is_taken_back(outcome):
    checks = outcome.checks
    assert checks["clicked"] == ["PIECE"]
    assert checks["wrong_before"] == []
    assert "overlap" in checks["wrong_nudged"]
    assert checks["undone"]
    assert checks["wrong_undone"] == []


def test_a_piece_is_pinned_and_freed_by_its_button(outcome):
    assert (outcome.checks["pinned"], outcome.checks["freed"]) == (1, 0)


def test_esc_ends_the_solver_and_leaves_a_whole_layout(outcome):
    assert outcome.checks["solving"] == 1
    assert outcome.checks["pieces"] == 12
    assert outcome.checks["wrong_improved"] == []


def test_every_stage_can_be_seen(outcome):
    stages = [read(path) for path in outcome.pictures.values()]
    assert len(stages) == 5
    for before, after in pairwise(stages):
        assert not is_blank(after)
        assert changed(before, after) > 0.001
