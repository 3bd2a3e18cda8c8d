"""Fine and bold lines are asked about in the panel, and keeping a bench asks for two lengths."""

import pytest
from pictures import changed, is_blank, read

pytestmark = [pytest.mark.window, pytest.mark.long]


@pytest.fixture(scope="module")
def outcome(play):
    return play("lines")


def test_the_question_is_there_and_answered(outcome):
    assert outcome.checks["kinds"][:2] == pytest.approx([1.0, 5.0])
    assert "which of them are 5 mm apart" in outcome.checks["warned"]
    assert "which of them" not in outcome.checks["warned after"]


def test_each_step_shows(outcome):
    pictures = [read(outcome.pictures[name]) for name in ("asked", "answered", "keep bench")]
    assert not any(is_blank(picture) for picture in pictures)
    whole = (0, 0, pictures[0].shape[1], pictures[0].shape[0])
    assert changed(pictures[0], pictures[1], whole) > 0.001
    assert changed(pictures[1], pictures[2], whole) > 0.001
