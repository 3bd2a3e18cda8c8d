"""An outline corrected, made symmetric, drawn by half, read and edited, in a real window."""

import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("outline")


def test_accepted_suggestions_move_the_corners_and_undo_brings_them_back(outcome):
    assert outcome.checks["suggested"] >= 3
    # Square, so two sides left and right: two different x.
    assert outcome.checks["accepted"] == [True, 2]
    assert outcome.checks["acceptance undone"] is True


def test_the_hands_error_is_drawn_and_can_be_hidden(outcome):
    assert 0.05 < outcome.checks["hand was off"] < 0.4
    shown, hidden = (read(outcome.pictures[n]) for n in ("hand's error", "hand's error hidden"))
    assert changed(shown, hidden) > 0.0005
    assert outcome.checks["symmetry undone"] == ["Plate"]


def test_two_clicks_give_the_axis(outcome):
    assert outcome.checks["axis clicked"].startswith("Axis at ")
    angle = float(outcome.checks["axis clicked"].removeprefix("Axis at ").rstrip("°"))
    # Two clicks a pixel off over some hundred pixels.
    assert angle == pytest.approx(90.0, abs=0.6)
    assert outcome.checks["clicked undone"] == ["Plate"]


def test_a_half_becomes_whole_and_a_file_an_outline(outcome):
    assert outcome.checks["whole"] is True
    assert outcome.checks["whole undone"] is False
    assert outcome.checks["imported"] == [40.0, 1]
    assert outcome.checks["import undone"] is True


def test_the_part_follows_a_moved_node_and_the_file_keeps_it(outcome):
    # The right side went 5 mm further right.
    assert outcome.checks["part after"] - outcome.checks["part before"] == pytest.approx(
        5.0, abs=0.01
    )
    assert outcome.checks["hole stays an arc"] is True
    assert outcome.checks["reopened"][0] is True
    assert outcome.checks["radius"] == pytest.approx(7.0, abs=1e-4)


def test_every_stage_can_be_seen(outcome):
    assert len(outcome.pictures) == 10
    assert not any(is_blank(read(path)) for path in outcome.pictures.values())
