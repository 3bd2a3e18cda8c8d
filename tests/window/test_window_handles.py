"""Handles in a real window: marks and axes are pressed, dragged, given up with Esc and undone."""

import math
from itertools import pairwise

import numpy as np
import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("handles")


def test_esc_and_a_mere_click_leave_a_mark_where_it_is(outcome):
    assert outcome.checks["mark after esc"] is True
    assert outcome.checks["mark after a mere click"] is True


def test_a_mark_is_dragged_by_its_ring_and_undone_as_one_step(outcome):
    before, after = (np.array(marks) for marks in outcome.checks["mark moved"])
    np.testing.assert_allclose(after[0], before[0])
    # 83 pixels of the window, each three to five of the photo.
    assert 200.0 < np.hypot(*(after[1] - before[1])) < 700.0
    assert outcome.checks["mark under the mouse"] < 3.0
    assert outcome.checks["mark undone"] is True


def test_the_ring_under_the_mouse_is_filled(outcome):
    before, after = (read(outcome.pictures[name]) for name in ("marks", "hovered"))
    assert 0.0 < changed(before, after) < 0.02


def test_esc_leaves_the_axis_as_it_was(outcome):
    assert outcome.checks["axis after esc"] is True
    assert outcome.checks["star after esc"] is True


def test_an_end_of_the_axis_turns_it_and_the_outline_follows(outcome):
    before, after = outcome.checks["axis turned"]
    assert before[2] == pytest.approx(math.pi / 2.0, abs=0.02)
    # To the right, by two degrees or three; the other end stays.
    assert math.radians(1.0) < before[2] - after[2] < math.radians(5.0)
    assert outcome.checks["outlines while turning"] == 2
    assert outcome.checks["axis undone"] is True


def test_the_middle_moves_the_axis_and_keeps_its_direction(outcome):
    before, after = outcome.checks["axis moved"]
    assert after[0] - before[0] > 0.3
    assert after[2] == pytest.approx(before[2], abs=1e-3)
    assert outcome.checks["move undone"] is True


def test_an_axis_the_shape_does_not_have_is_refused_in_a_sentence(outcome):
    assert "not symmetric" in outcome.checks["axis refused"]
    assert outcome.checks["axis after refusal"] is True


@pytest.mark.parametrize(
    ("unit", "sign", "width"),
    [("inches", "″", 2.37), ("meters", " m", 0.0602), ("centimeters", " cm", 6.02)],
)
def test_what_is_written_at_the_outline_is_in_the_scene_s_unit(outcome, unit, sign, width):
    texts = outcome.checks[f"labels in {unit}"]
    # The hand's error, width and height.
    assert len(texts) == 3
    assert all(sign in text for text in texts)
    sizes = [float(text.removesuffix(sign)) for text in texts if text.endswith(sign)]
    assert max(sizes) == pytest.approx(width, rel=0.01)


def test_switching_off_and_on_fifty_times_while_they_are_drawn_leaves_no_handle(outcome):
    assert outcome.checks["left behind"] == []
    assert outcome.checks["known"] == 8
    assert outcome.checks["dragged after all"] is True


def test_every_stage_can_be_seen(outcome):
    stages = [read(path) for path in outcome.pictures.values()]
    assert len(stages) == 9
    for before, after in pairwise(stages):
        assert not is_blank(after)
        assert changed(before, after) > 0.0002
