"""Marks, labels, faces, a machine's own layers and the order of cuts, seen and saved."""

from itertools import pairwise

import ezdxf
import pytest
from pictures import changed, is_blank, read

pytestmark = [pytest.mark.window, pytest.mark.long]


@pytest.fixture(scope="module")
def outcome(play):
    return play("marking")


def test_a_line_is_kept_on_its_part_alone(outcome):
    assert sorted(outcome.checks["kept"]) == [0, 1]


def test_labels_are_drawn_on_the_parts_and_leave_the_good_face(outcome):
    assert outcome.checks["labels drawn"] == 4
    assert outcome.checks["drawn on the good face"] == 0


def test_front_and_back_have_their_marks_under_the_machine_s_names(outcome):
    found = {
        "back" in path.name: [e.dxf.layer for e in ezdxf.readfile(path).modelspace()]
        for path in outcome.folder.rglob("*.dxf")
    }
    # Labels are on the face that stays hidden, the line on the one that is good.
    assert found[True].count("measure") == 6
    assert found[True].count("ENGRAVE") > 20
    assert found[False].count("ENGRAVE") == 1
    # The crosses to align by are cut through; outsides are in pieces, each with its lead-in.
    assert found[False].count("inside") == 6
    assert found[False].count("outside") == 2 * (8 + 3 + 3)


def test_every_stage_can_be_seen(outcome):
    stages = [read(path) for path in outcome.pictures.values()]
    assert len(stages) == 5
    for before, after in pairwise(stages):
        assert not is_blank(after)
        assert changed(before, after) > 0.001
