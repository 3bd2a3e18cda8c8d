"""Marks in a real window: set under the magnifier, dragged, undone, held together, kept."""

from itertools import pairwise

import numpy as np
import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("marks")


def test_a_length_is_marked_where_it_was_clicked(outcome):
    found, asked = (np.array(outcome.checks[f"length {which}"]) for which in ("marks", "asked"))
    assert found.shape == (2, 2)
    # The mouse stops at whole pixels of the window, which are four or five of the photo.
    assert np.abs(found - asked).max() < 6.0


def test_esc_leaves_a_dragged_mark_and_undo_takes_a_move_back(outcome):
    assert outcome.checks["after esc"] is True
    moved = np.array(outcome.checks["moved"]) - np.array(outcome.checks["length marks"])
    assert np.hypot(*moved[1]) > 100.0
    np.testing.assert_allclose(moved[0], 0.0)
    assert outcome.checks["under the mouse"] is True
    assert outcome.checks["undone"] is True


def test_a_rectangle_of_squares_tells_the_tilt_and_keeps_the_length_beside_it(outcome):
    # The demo's camera is tilted by 13.5 degrees; corners clicked without zooming in.
    assert outcome.checks["tilt"] == pytest.approx(13.5, abs=2.0)
    *sides, length = outcome.checks["misfits"]
    assert len(sides) == 1
    assert abs(length) < 3.0
    assert outcome.checks["said of the rectangle"] == ""


def test_a_wrong_length_beside_the_grid_is_told(outcome):
    assert "82 ± " in outcome.checks["said"]
    assert "80." in outcome.checks["said"] or "79." in outcome.checks["said"]


def test_the_file_keeps_the_marks(outcome):
    assert outcome.checks["reopened"] is True
    # Two ends, four corners, two ends.
    assert outcome.checks["marks kept"] == 8


def test_every_stage_can_be_seen(outcome):
    stages = [read(path) for path in outcome.pictures.values()]
    assert len(stages) == 9
    for before, after in pairwise(stages):
        assert not is_blank(after)
        assert changed(before, after) > 0.001
