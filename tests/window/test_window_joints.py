"""Edges are mated with clicks, tabs cut, and parts follow when one is moved away and back."""

from itertools import pairwise

import pytest
from pictures import changed, is_blank, read

pytestmark = pytest.mark.window


@pytest.fixture(scope="module")
def outcome(play):
    return play("joints")


def test_a_click_beside_the_parts_is_refused_and_the_next_one_counts(outcome):
    assert outcome.checks["refused"] == "That click met no part. Click on a part."


def test_two_clicks_stand_the_wall_flush_along_the_edge(outcome):
    # Its own y points up; its mid-plane lies half a sheet inside the base's edge at -40.
    assert outcome.checks["mated"] == pytest.approx([0.0, 0.0, 1000.0], abs=1e-2)
    _, y, z = outcome.checks["mated at"]
    assert (y, z) == pytest.approx((-38.5, 21.5), abs=1e-2)


def test_tabs_are_cut_and_told(outcome):
    assert outcome.checks["joints"] == [["tab", "5 tabs of 9.00 mm, slots 3.00 mm"]]
    # Four corners, and four for each open slot.
    assert outcome.checks["sides"] == 4 + 5 * 4


def test_slots_close_when_the_wall_leaves_and_open_when_undo_brings_it_back(outcome):
    assert outcome.checks["moved away"] == 4
    assert outcome.checks["back again"] == 4 + 5 * 4


def test_the_corner_goes_together(outcome):
    assert outcome.checks["clear"] is True
    assert outcome.checks["parts"] == 2


def test_the_split_of_a_lap_is_dragged_and_undone_as_one_step(outcome):
    assert outcome.checks["split before"] == 0.5
    # Dragged by a fifth of the line, give or take a pixel or two.
    assert outcome.checks["split after"] == pytest.approx(0.7, abs=0.02)
    assert outcome.checks["split undone"] == 0.5
    # Of 80 mm the wall's slots take 3: what is left is shared, and follows the arrow.
    assert outcome.checks["slot before"] == pytest.approx(38.5, abs=0.01)
    assert outcome.checks["slot after"] == pytest.approx(0.7 * 77.0, abs=1.6)


def test_every_stage_can_be_seen(outcome):
    stages = [read(path) for path in outcome.pictures.values()]
    assert len(stages) == 7
    for before, after in pairwise(stages):
        assert not is_blank(after)
        assert changed(before, after) > 0.001
